"""Hold regime files against the kinds they are for. Pure.

Done for the files of the house, not for a frozen regime: an old record keeps its meaning even
after a kind has lost a field.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from inspections.regime_shapes import Check, Regime
from venue.kind_files import Field, Kind, PartKind

OF_A_WHOLE_NUMBER = "count"


def fit_fault(regime: Regime, kinds: Mapping[str, Kind], parts: Mapping[str, PartKind]) -> str:
    """What does not fit, in words; empty where everything does."""
    families = {kind.family for kind in kinds.values()}
    if strange := [name for name in regime.families if name not in families]:
        return f"family {strange[0]!r} is not known"
    if strange := [name for name in regime.kinds if name not in kinds]:
        return f"kind {strange[0]!r} is not known"
    served = [kind for kind in kinds.values() if serves(regime, kind)]
    if fault := _variant_fault(regime, served):
        return fault
    faults = (f"check {check.slug!r}: {fault}" for check in regime.checks
              if (fault := _check_fault(check, served, parts)))  # fmt: skip
    return next(faults, "")


def serves(regime: Regime, kind: Kind) -> bool:
    return kind.slug in regime.kinds or kind.family in regime.families


def _variant_fault(regime: Regime, served: Iterable[Kind]) -> str:
    if regime.variant is None:
        return ""
    for kind in served:
        field = kind.field(regime.variant.field)
        if field is None or field.type not in ("choice", "yes_no"):
            return f"variant: {kind.slug} has no choice {regime.variant.field!r}"
        allowed = field.choices or ("yes", "no")
        if strange := [value for value in regime.variant.values if value not in allowed]:
            return f"variant: {strange[0]!r} is not a value of {field.name}"
    return ""


def _check_fault(check: Check, served: list[Kind], parts: Mapping[str, PartKind]) -> str:
    if check.part_kind and check.part_kind not in parts:
        return f"part kind {check.part_kind!r} is not known"
    held = {slot.kind for kind in served for slot in kind.part_kinds}
    if check.part_kind and check.part_kind not in held:
        return f"none of its kinds has a {check.part_kind}"
    places = (_place_fault(place, check, served, parts) for place in check.limits_from)
    return next((fault for fault in places if fault), "")


def _place_fault(
    place: str, check: Check, served: list[Kind], parts: Mapping[str, PartKind]
) -> str:
    where, _, name = place.partition(":")
    if where == "part":
        return _field_fault(parts[check.part_kind].field(name), place, check)
    if where == "field":
        faults = (_field_fault(kind.field(name), place, check) for kind in served)
        return next((fault for fault in faults if fault), "")
    for kind in served:
        load = next((load for load in kind.rated_loads if load.purpose == name), None)
        if load is None or load.dimension != check.dimension:
            return f"{kind.slug} has no {place} in {check.dimension}"
    return ""


def _field_fault(field: Field | None, place: str, check: Check) -> str:
    if field is None:
        return f"there is no {place}"
    dimension = OF_A_WHOLE_NUMBER if field.type == "whole_number" else field.dimension
    return "" if dimension == check.dimension else f"{place} is not in {check.dimension}"
