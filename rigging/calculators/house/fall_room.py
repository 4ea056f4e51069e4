"""Room that an arrested fall needs. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class FallPart:
    slug: str
    words: str
    length: Fraction


def room_below_anchor(parts: Iterable[Fraction]) -> Fraction:
    """Clear room needed below the anchor: the sum of the parts of the fall.

    Parts: connector or free fall, deceleration, stretch of the harness, from the back ring down to
    the feet, safety margin. One unit of length. The sum counts from the anchor.
    Limits: anchor overhead, no swing, no slack elsewhere; the maker's own figure rules where it
    is greater. Source: OSHA Technical Manual, section V, chapter 4 (list of parts).

    >>> room_below_anchor([Fraction(6), Fraction(7, 2), Fraction(6), Fraction(3)])
    Fraction(37, 2)
    """
    return sum((Fraction(part) for part in parts), Fraction(0))


def room_below_surface(below_anchor: Fraction, anchor_height: Fraction) -> Fraction:
    """The same room counted from the surface one stands on: minus the anchor's height above it.

    Negative where the fall ends above the surface. One unit of length. Source: geometry.

    >>> room_below_surface(Fraction(35, 2), Fraction(5))
    Fraction(25, 2)
    """
    return Fraction(below_anchor) - anchor_height
