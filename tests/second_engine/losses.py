"""What was measured: diameters, outer wires, strength, and the design factor."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from tests.second_engine.facts import was_seen
from tests.second_engine.quantities import maybe_quantity, read_quantity
from tests.second_engine.wires import Range

ANYTHING: Range = (Fraction(-1_000_000), None)
Read = tuple[Range, Fraction | None]


def smallest_mean(pairs: list[dict[str, Any]]) -> Fraction | None:
    means = [(read_quantity(pair["a"]) + read_quantity(pair["b"])) / 2 for pair in pairs]
    return min(means, default=None)


def diameter_loss(
    criterion: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any], as_length: bool
) -> Read:
    """The range that the instrument leaves, and the reading itself."""
    nominal, baseline = (
        maybe_quantity(rope.get(name)) for name in ("nominal_diameter", "baseline_diameter")
    )
    whole, below = {
        "nominal": (nominal, nominal),
        "baseline": (baseline, baseline),
        "baseline_over_nominal": (baseline, nominal),
    }[criterion["reference"]]
    below = Fraction(1) if as_length else below
    measured = smallest_mean(seen.get("diameters") or [])
    if whole is None or below is None or measured is None:
        return ANYTHING, None
    doubt = maybe_quantity(seen.get("instrument_uncertainty")) or Fraction(0)
    loss = whole - measured
    return ((loss - doubt) / below, (loss + doubt) / below), loss / below


def measured_loss(indicator: str, seen: dict[str, Any]) -> Read:
    loss = maybe_quantity(seen.get(indicator))
    if loss is not None:
        return (loss, loss), loss
    if indicator == "outer_wire_loss":
        worn = was_seen(seen.get("conditions") or {}, "outer_wires_worn")
        if worn is not None:
            third: Range = (Fraction(1, 3), None)
            return (third if worn else (Fraction(0), Fraction(333, 1000))), None
    return (Fraction(0), None), None


def design_factor(rope: dict[str, Any]) -> Read:
    breaking, greatest = (
        maybe_quantity(rope.get(name)) for name in ("minimum_breaking_force", "greatest_force")
    )
    if breaking is None or greatest is None:
        return (Fraction(0), None), None
    return (breaking / greatest, breaking / greatest), breaking / greatest
