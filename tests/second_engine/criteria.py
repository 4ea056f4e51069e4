"""What one criterion asks of one rope: whether it applies, what was seen, what the value is."""

from __future__ import annotations

from typing import Any

from tests.second_engine.facts import all_allowed, was_seen
from tests.second_engine.limits import is_length
from tests.second_engine.losses import Read, design_factor, diameter_loss, measured_loss
from tests.second_engine.wires import broken_wires

MET, NOT_MET, UNDECIDED = "met", "not met", "cannot be decided"
SWITCHED_OFF = "switched off"


def does_apply(
    criterion: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]
) -> bool | None:
    applies = all_allowed(rope, criterion.get("when", {}))
    if not criterion.get("off") and criterion.get("only_if_measured"):
        name = criterion["indicator"]
        field = "diameters" if name == "diameter_loss" else name
        return applies if seen.get(field) else False
    return applies


def condition_verdict(criterion: dict[str, Any], seen: dict[str, Any]) -> str:
    found = [was_seen(seen.get("conditions") or {}, name) for name in criterion["conditions"]]
    if True in found:
        return MET
    return UNDECIDED if None in found else NOT_MET


def value_of(criterion: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]) -> Read:
    indicator = criterion["indicator"]
    if indicator == "broken_wires":
        return broken_wires(criterion, rope, seen), None
    if indicator == "diameter_loss":
        return diameter_loss(criterion, rope, seen, is_length(criterion))
    if indicator == "design_factor":
        return design_factor(rope)
    return measured_loss(indicator, seen)
