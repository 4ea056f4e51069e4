"""Put the figures of this very equipment into the limits of its checks. Pure.

A manual's or a venue's own figure rules over the regime's. A figure that nobody has entered
stays missing, and then the check carries no limit at all: it cannot be decided, it is no pass.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from inspections.regime_shapes import Check
from venue.quantities import Quantity, read_quantity

Stored = Mapping[str, Any]


def with_known_limits(
    check: Check, fields: Stored, rated_loads: Stored, part_fields: Stored | None = None
) -> tuple[Check, list[str]]:
    """The check with its limits filled in, and the names of the figures that are missing.

    `fields` and `part_fields` are stored field values, `rated_loads` stored quantities by
    purpose.
    """
    kept: dict[str, Stored] = {"field": fields, "load": rated_loads, "part": part_fields or {}}
    found: dict[str, Quantity | None] = {}
    missing: list[str] = []
    for side, place in (("minimum", check.minimum_from), ("maximum", check.maximum_from)):
        limit = _kept_limit(place, kept) if place else None
        found[side] = limit or getattr(check, side)
        if place and found[side] is None:
            missing.append(place.partition(":")[2])
    if missing:
        found = {"minimum": None, "maximum": None}
    return replace(check, minimum=found["minimum"], maximum=found["maximum"]), missing


def _kept_limit(place: str, kept: Mapping[str, Stored]) -> Quantity | None:
    where, _, name = place.partition(":")
    value = kept[where].get(name)
    if value is None:
        return None
    if isinstance(value, int):
        return read_quantity(str(value), "count")
    return Quantity.from_stored(value)
