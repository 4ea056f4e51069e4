"""Ropes and other parts that left their position, as they go into a bundle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from django.db.models import QuerySet

from venue.models import LogLine, Part

if TYPE_CHECKING:
    from inspections.queries.evidence import Span

HEADING = (
    "part", "equipment", "code", "kind", "name", "identifier", "installed on", "left on",
    "written down at", "why", "how", "successor", "successor identifier", "log line",
)  # fmt: skip
HOW = {
    "retire_part": "retired", "replace_part": "replaced", "move_part": "moved to another position",
}  # fmt: skip
AT_ONCE = 1000


def retired_parts(span: Span) -> QuerySet[Part]:
    """By the day on which each left; a part that moved has a row for each position it left."""
    rows = Part.objects.in_venue(span.venue).filter(retired_on__range=(span.start, span.end))
    return rows.order_by("retired_on", "pk")


def retired_part_rows(span: Span, today: date) -> Iterator[Sequence[Any]]:
    told = _told_of(span)
    rows = retired_parts(span).select_related("equipment", "successor")
    for part in rows.iterator(chunk_size=AT_ONCE):
        did, line = told.get(part.pk, ("", ""))
        after = part.successor
        yield (
            part.pk, part.equipment.tag, part.code, part.kind, part.name, part.identifier,
            part.installed_on, part.retired_on,
            part.retired_at.isoformat() if part.retired_at else "", part.retired_why,
            HOW.get(did, "the log does not tell"), after.pk if after else "",
            after.identifier if after else "", line,
        )  # fmt: skip


def _told_of(span: Span) -> dict[int, tuple[str, int]]:
    lines = LogLine.objects.in_venue(span.venue).filter(did__in=HOW).order_by("number")
    return {
        int(subject.split()[-1]): (did, number)
        for subject, did, number in lines.values_list("subject", "did", "number")
    }
