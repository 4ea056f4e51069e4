"""The loads of a batten: what is posted in the register, and what the latest new hang recorded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from inspections.batten_loads import CALCULATOR, Batten, Hung, Posted, Spread, spread_evenly
from inspections.models import Reading, Record
from inspections.queries.looked_at import looked_at
from inspections.regime_files import regimes
from venue.kind_files import kinds
from venue.kind_shapes import Kind
from venue.models import Equipment
from venue.quantities import Quantity

NEW_HANG = "counterweight_new_hang"
WHOLE, ONE_LINE = "whole", "per_line"
OF_A_RATED_LOAD = "load:"


@dataclass(frozen=True)
class BattenLoads:
    posted: list[Posted]
    record: Record | None  # of the latest new hang
    spread: Spread | None
    is_of_the_hang: bool  # whether `spread` is of what was recorded; else of the posted figure
    missing: list[str]  # labels of what the register would have to know
    calculator: str
    query: str


def batten_loads(equipment: Equipment) -> BattenLoads | None:
    """None of what has no batten. Three queries."""
    kind = kinds().get(equipment.kind)
    if kind is None or "batten_length" not in {field.name for field in kind.fields}:
        return None
    record = _latest_hang(equipment)
    hung = _hung(record) if record else {}
    rated = {load.purpose: load for load in equipment.rated_loads.all()}
    batten = _batten(equipment.fields)
    whole = Quantity.from_stored(rated[WHOLE].quantity) if WHOLE in rated else None
    one_line = Quantity.from_stored(rated[ONE_LINE].quantity) if ONE_LINE in rated else None
    load = hung[WHOLE].load if WHOLE in hung else whole
    spread = spread_evenly(batten, load, one_line) if load else None
    return BattenLoads(
        _posted(kind, rated, hung), record, spread, WHOLE in hung, _missing(kind, batten),
        CALCULATOR, urlencode(spread.typed) if spread else "",
    )  # fmt: skip


def _posted(kind: Kind, rated: dict[str, Any], hung: dict[str, Hung]) -> list[Posted]:
    checked = set(_asked().values())
    return [
        Posted(
            load.label,
            Quantity.from_stored(rated[load.purpose].quantity) if load.purpose in rated else None,
            rated[load.purpose].source if load.purpose in rated else "",
            load.purpose in checked, hung.get(load.purpose),
        )
        for load in kind.rated_loads
    ]  # fmt: skip


def _asked() -> dict[str, str]:
    """The checks of a new hang that are held against a rated load: check and purpose."""
    regime = regimes().get(NEW_HANG)
    return {
        check.slug: check.maximum_from.removeprefix(OF_A_RATED_LOAD)
        for check in (regime.checks if regime else ())
        if check.maximum_from.startswith(OF_A_RATED_LOAD)
    }


def _latest_hang(equipment: Equipment) -> Record | None:
    """By when it was looked at: what a phone sends later is not the newer for that."""
    records = equipment.records.filter(version__slug=NEW_HANG).select_related("version")
    looked = records.annotate(looked_at=looked_at()).defer("body")
    return looked.order_by("-looked_at", "-at").first()


def _hung(record: Record) -> dict[str, Hung]:
    asked = _asked()
    rows = Reading.objects.filter(answer__record=record, answer__check_slug__in=asked)
    return {
        asked[row.answer.check_slug]: Hung(
            Quantity.from_stored(row.quantity),
            Quantity.from_stored(row.uncertainty) if row.uncertainty else None,
        )
        for row in rows.select_related("answer")
    }


def _batten(fields: dict[str, Any]) -> Batten:
    known = {
        name: Quantity.from_stored(fields[name]) if fields.get(name) else None
        for name in ("batten_length", "batten_weight", "line_spacing")
    }
    count = fields.get("lift_line_count")
    return Batten(
        known["batten_length"], known["batten_weight"], known["line_spacing"],
        int(count) if count else None,
    )  # fmt: skip


def _missing(kind: Kind, batten: Batten) -> list[str]:
    labels = {field.name: field.label for field in kind.fields}
    return [labels.get(name, name) for name in batten.missing]
