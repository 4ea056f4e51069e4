"""Losses that are measured, or answered with yes or no: what is known of them. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.engine.bounds import Bounds
from rigging.engine.observation import RopeObservation
from venue.quantities import Quantity

# "A third or more worn away" answered with no leaves less than a third.
JUST_UNDER_A_THIRD = Fraction(333, 1000)
LOSS_WORDS = {
    "outer_wire_loss": "how much of the outer wires' diameter is worn away",
    "strength_loss": "the loss of strength by non-destructive testing",
}


def loss_bounds(indicator: str, seen: RopeObservation) -> Bounds:
    """A loss as measured; the outer wires' loss also as answered with yes or no."""
    measured: Quantity | None = getattr(seen, indicator)
    if measured is not None:
        return Bounds(measured.si, measured.si)
    missing = (LOSS_WORDS[indicator],)
    worn = seen.seen("outer_wires_worn") if indicator == "outer_wire_loss" else None
    if worn is None:
        return Bounds(Fraction(0), None, missing)
    if worn:
        return Bounds(Fraction(1, 3), None, missing)
    return Bounds(Fraction(0), JUST_UNDER_A_THIRD)
