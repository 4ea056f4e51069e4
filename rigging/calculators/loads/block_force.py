"""What a block feels from the rope that runs over it. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class BlockForce:
    """`resultant` on the block; `along` the incoming rope and `across` it, in the plane of both."""

    resultant: float
    along: float
    across: float


def block_force(tension: Fraction, wrap: Fraction) -> BlockForce:
    """Load on a block from one rope: `2 × T × sin(wrap ÷ 2)`.

    `wrap`: by how many degrees the rope changes its direction (90 at a loft block under which the
    line runs straight down, 180 where it comes straight back). For a line that comes in level and
    leaves straight down, `along` is sideways and `across` is down: T·(1 − cos), T·sin.
    Limits: equal tension on both sides, at rest; no friction. Several lines on one block with one
    wrap add up. Source: block angle factors (90° 1.41, included-angle table), as stored by a block
    maker; statics.

    >>> round(block_force(Fraction(200), Fraction(90)).resultant, 1)
    282.8
    """
    angle = math.radians(wrap)
    pulled = float(tension)
    return BlockForce(
        2 * pulled * math.sin(angle / 2),
        pulled * (1 - math.cos(angle)),
        pulled * math.sin(angle),
    )


def dead_end_load(tension: Fraction, lines: int, purchase: int) -> Fraction:
    """What the dead ends of a double-purchase set hang on the head steel: one more T a line.

    Zero for single purchase. Same unit as the tension.
    Limits: dead ends made off at the head steel. Source: statics, from memory.

    >>> dead_end_load(Fraction(200), 5, 2)
    Fraction(1000, 1)
    """
    return Fraction(tension) * lines if purchase == 2 else Fraction(0)
