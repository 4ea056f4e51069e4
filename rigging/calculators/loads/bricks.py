"""Bricks in an arbor: what they weigh, how many go in, which to take. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

# Rolled steel, kg per cubic metre.
STEEL = Fraction(7850)
# A spreader plate at every two feet of stack, in metres.
PLATE_SPACING = 24 * Fraction(254, 10_000)
MOST_BRICKS = 120
MOST_SIZES = 3


@dataclass(frozen=True)
class BrickSize:
    weight: Fraction
    thickness: Fraction | None = None
    name: str = ""


def brick_weight(
    length: Fraction,
    width: Fraction,
    thickness: Fraction,
    density: Fraction = STEEL,
    slots: Iterable[tuple[Fraction, Fraction]] = (),
) -> Fraction:
    """Mass of a flat brick: `(length × width − slots) × thickness × density`.

    `slots`: width and depth of each slot for the arbor rods, cut through the thickness. Units: one
    length; `density` in mass per that length cubed (7850 kg/m³ for steel).
    Limits: square corners; weigh a sample, cast bricks and rust differ.
    Source: geometry; the density of steel from memory.

    >>> brick_weight(Fraction(2, 5), Fraction(3, 20), Fraction(1, 40))
    Fraction(471, 40)
    """
    area = Fraction(length) * width - sum((Fraction(a) * b for a, b in slots), Fraction(0))
    if area <= 0:
        raise ValueError("The slots are as large as the brick.")
    return area * thickness * density


def bricks_needed(weight: Fraction, brick: Fraction) -> int:
    """How many bricks of one size reach a weight: `⌈W ÷ brick⌉`, never fewer.

    Any one unit. The last brick may make the arbor heavy by up to one brick: check the balance.
    Source: common practice.

    >>> bricks_needed(Fraction(660), Fraction("26.163"))
    26
    """
    return max(0, math.ceil(Fraction(weight) / brick))


def choose_bricks(weight: Fraction, sizes: Sequence[BrickSize]) -> tuple[int, ...] | None:
    """How many of each size: the fewest bricks that reach the weight and pass it by less than the
    smallest one; of those the least total.

    Counts come in the order of `sizes`. None if more than 120 bricks would be needed.
    Limits: up to three sizes; no brick is split. Arbor heavy by less than the smallest brick,
    or in balance: the usual rule that a loaded set is not left bar heavy.
    Source: own arithmetic; "arbor heavy rather than bar heavy" is common practice.

    >>> choose_bricks(Fraction(660), [BrickSize(Fraction(25)), BrickSize(Fraction(20))])
    (24, 3)
    """
    if not sizes or len(sizes) > MOST_SIZES or any(size.weight <= 0 for size in sizes):
        raise ValueError("Give one to three sizes, each with a weight above zero.")
    if weight <= 0:
        return (0,) * len(sizes)
    if bricks_needed(weight, max(size.weight for size in sizes)) > MOST_BRICKS:
        return None
    wanted, *weights = _whole_numbers([weight, *(size.weight for size in sizes)])

    near = wanted + min(weights)

    def bricks_and_total(counts: tuple[int, ...]) -> tuple[bool, int, int]:
        total = sum(n * w for n, w in zip(counts, weights, strict=True))
        return total >= near, sum(counts), total

    found = min(_stacks(wanted, weights), key=bricks_and_total)
    too_heavy, bricks, _ = bricks_and_total(found)
    return None if too_heavy or bricks > MOST_BRICKS else found


def _whole_numbers(values: Sequence[Fraction]) -> list[int]:
    """The same proportions in whole numbers: many stacks are compared, exactly."""
    exact = [Fraction(value) for value in values]
    scale = math.lcm(*(value.denominator for value in exact))
    return [int(value * scale) for value in exact]


def _stacks(weight: int, weights: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Every stack that just reaches the weight: the last size fills what the others leave."""
    head, rest = weights[0], weights[1:]
    most = max(0, -(-weight // head))
    if not rest:
        yield (most,)
        return
    # More of one size is refused in the end: with a feather for a brick there is none to look at.
    for count in range(min(most, MOST_BRICKS), -1, -1):
        for others in _stacks(weight - count * head, rest):
            yield (count, *others)


def spreader_plates(stack: Fraction, spacing: Fraction = PLATE_SPACING) -> int:
    """Spreader plates for a stack of that height: `⌈stack ÷ spacing⌉ − 1` inside, 1 locked on top.

    Metres, with a plate every 24 in unless told otherwise; any unit if `spacing` is given in it.
    Limits: the maker of the arbor may ask for more. No stack, no plate.
    Source: a plate every two feet, height in inches ÷ 24: trade blog of 2012 and university notes.

    >>> spreader_plates(Fraction(66), Fraction(24))
    3
    """
    return 0 if stack <= 0 else math.ceil(Fraction(stack) / spacing)


def bricks_that_fit(clear: Fraction, thickness: Fraction, plate: Fraction, plates: int) -> int:
    """Bricks between the arbor's plates: `⌊(clear height − plates × plate) ÷ thickness⌋`.

    One unit of length. Limits: the mark on the arbor rules where it is lower; the stack stays
    below the top of the rods and the locking collars. Source: common practice.

    >>> bricks_that_fit(Fraction(72), Fraction(1), Fraction(3, 16), 3)
    71
    """
    return max(0, math.floor((Fraction(clear) - plates * plate) / thickness))


def most_bricks(
    clear: Fraction, thickness: Fraction, plate: Fraction, spacing: Fraction = PLATE_SPACING
) -> tuple[int, int]:
    """Most bricks of one thickness that fit with the plates they need, and those plates.

    The two rules above together: the plates grow with the stack. Metres, or one unit with
    `spacing`. Source: own arithmetic on those rules.

    >>> most_bricks(Fraction(72), Fraction(1), Fraction(3, 16), Fraction(24))
    (71, 3)
    """
    count = bricks_that_fit(clear, thickness, plate, 0)
    while count and count * thickness + spreader_plates(count * thickness, spacing) * plate > clear:
        count -= 1
    return count, spreader_plates(count * thickness, spacing)
