"""What was seen at some pieces of equipment in the last year, for whoever looks again."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from inspections.models import Finding as FindingRow
from inspections.models import Record
from inspections.papers.content import Finding, RopeToMeasure
from inspections.reports.content import Rope
from inspections.reports.record_reading import answers_of
from inspections.reports.words import STATE
from venue.models import Equipment

LAST_YEAR = timedelta(days=400)  # the last yearly look was a little more than a year ago
WHERE = "Where it runs over sheaves and at its ends, and wherever it looks worst"


@dataclass(frozen=True)
class LastYear:
    """By equipment; ropes by equipment and the name of the part."""

    looks: dict[tuple[int, str], Record]
    found: dict[int, list[FindingRow]]
    seen: dict[tuple[int, str], tuple[Rope, date]]

    def last_look(self, equipment: int, regime: str) -> str:
        record = self.looks.get((equipment, regime))
        if record is None:
            return "No record of this check in the last 13 months"
        state = STATE.get(record.state, record.state)
        return f"{record.done_on:%-d %B %Y} by {record.by_name}: {state}"

    def findings(self, equipment: int) -> tuple[Finding, ...]:
        return tuple(_finding(row) for row in self.found.get(equipment, ()))

    def ropes(self, equipment: Equipment) -> tuple[RopeToMeasure, ...]:
        """Every rope in use, with where it was measured the last time."""
        parts = [part for part in equipment.parts.all() if part.kind == "wire_rope"]
        in_use = [part for part in parts if part.retired_on is None]
        return tuple(_rope(str(part), self.seen.get((equipment.pk, str(part)))) for part in in_use)


def last_year_of(equipment: Sequence[Equipment], now: datetime) -> LastYear:
    ids, since = {piece.pk for piece in equipment}, now - LAST_YEAR
    records = Record.objects.filter(equipment__in=ids, at__gt=since)
    looks: dict[tuple[int, str], Record] = {}
    seen: dict[tuple[int, str], tuple[Rope, date]] = {}
    for record in records.select_related("version").order_by("-at"):
        looks.setdefault((record.equipment_id, record.version.slug), record)
        for answer in answers_of(json.loads(record.body), {}):
            if answer.rope:
                seen.setdefault((record.equipment_id, answer.part), (answer.rope, record.done_on))
    found: dict[int, list[FindingRow]] = defaultdict(list)
    rows = FindingRow.objects.filter(equipment__in=ids, at__gt=since).select_related("part")
    for row in rows.prefetch_related("remedies", "orders__returned").order_by("-at", "-pk"):
        found[row.equipment_id].append(row)
    return LastYear(looks, found, seen)


def _finding(row: FindingRow) -> Finding:
    about = f"{row.part}: {row.what}" if row.part else row.what
    standing = "No remedy on record"
    if remedies := list(row.remedies.all()):
        standing = f"Remedy on {remedies[-1].at:%-d %B %Y}: {remedies[-1].what}"
    if any(getattr(order, "returned", None) is None for order in row.orders.all()):
        standing += ". Its order still stands"
    return Finding(about, row.get_grade_display(), f"{row.at:%-d %B %Y}", standing)


def _rope(part: str, seen: tuple[Rope, date] | None) -> RopeToMeasure:
    if seen is None:
        return RopeToMeasure(part, "", "Not measured in the last 13 months", (WHERE,))
    rope, on = seen
    places = tuple(
        f"{one.place}: {one.first or 'not measured'} and {one.across or 'not measured'}"
        for one in rope.diameters
    )
    facts = "; ".join(f"{fact.name} {fact.value}" for fact in rope.facts)
    return RopeToMeasure(part, facts, f"{on:%-d %B %Y}", places or (WHERE,))
