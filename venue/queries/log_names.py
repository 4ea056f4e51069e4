"""Log lines as people read them: the names behind the references, or that they were removed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery
from django.db.models.functions import Substr
from django.utils import timezone

from venue.models import KeptName, LogLine, Venue
from venue.person_references import LENGTH, MARK, REFERENCE
from venue.queries.log_walk import Line

UNKNOWN = "somebody whose name is not in the side table"


@dataclass(frozen=True)
class ShownLine:
    """A line of the log with its names, and the line itself."""

    line: LogLine
    who: str
    what: str


def with_names(lines: QuerySet[LogLine]) -> QuerySet[LogLine]:
    """Asks for the names in the query of the lines. A heading names a person at its beginning."""
    names = KeptName.objects.filter(venue=OuterRef("venue"))
    writer = names.filter(reference=OuterRef("by_name"))
    about = names.filter(reference=OuterRef("heading"))
    return lines.annotate(
        heading=Substr("label", 1, LENGTH),
        writer_said=Subquery(writer.values("said")),
        writer_removed=Subquery(writer.values("removed_at")),
        about_said=Subquery(about.values("said")),
        about_removed=Subquery(about.values("removed_at")),
    )


def shown(lines: Iterable[LogLine]) -> list[ShownLine]:
    """Of lines asked for `with_names`."""
    return [
        ShownLine(
            line,
            _filled(line.by_name, line.writer_said, line.writer_removed),  # type: ignore[attr-defined]
            _filled(line.label, line.about_said, line.about_removed),  # type: ignore[attr-defined]
        )
        for line in lines
    ]


def _named(reference: str, body: dict[str, Any]) -> bool:
    """Whether it stands where a name would, not somewhere in a text that somebody typed."""
    waiting: list[Any] = [body["by"], body["label"][:LENGTH], body["before"], body["after"]]
    while waiting:
        value = waiting.pop()
        if value == reference:
            return True
        if isinstance(value, dict):
            waiting += value.values()
        elif isinstance(value, list):
            waiting += value
    return False


def _filled(text: str, said: str | None, removed_at: datetime | None) -> str:
    """Lines from before there was a side table say the name themselves."""
    if not text.startswith(MARK):
        return text
    words = said or UNKNOWN
    if removed_at:
        words = removed_words(timezone.localtime(removed_at).date())
    return REFERENCE.sub(lambda _: words, text, count=1)


def removed_words(day: date) -> str:
    """
    >>> removed_words(date(2031, 5, 4))
    'a person whose name was removed on 4 May 2031'
    """
    return f"a person whose name was removed on {day:%-d %B %Y}"


class NamesReferredTo:
    """Every reference in the lines that are looked at, be it of the writer, in a label or in a value,
    and those of them that lead to no row. Told once each, with the first line that has it."""

    def __init__(self, venue: Venue) -> None:
        self._kept = KeptName.objects.in_venue(venue)
        self._there = set(self._kept.values_list("reference", flat=True))
        self._lost: dict[str, int] = {}

    def look(self, lines: list[Line]) -> None:
        for text, body in lines:
            for each in REFERENCE.findall(text):
                if each not in self._there and each not in self._lost and _named(each, body):
                    self._lost[each] = body["number"]

    def at_odds(self) -> list[str]:
        """References that are not those of the name beside them, and lines that lead to no row."""
        wrong = [row.reference for row in self._kept.filter(removed_at=None) if not row.holds]
        half = self._kept.exclude(removed_at=None).exclude(said="", salt="")
        return [
            *(f"The name beside {each[:19]} is not the one that the log refers to." for each in wrong),
            *(f"The name beside {row.reference[:19]} was removed and is there." for row in half),
            *(f"Line {number} of the log refers to {each[:19]}, which the side table does not hold."
              for each, number in self._lost.items()),
        ]  # fmt: skip
