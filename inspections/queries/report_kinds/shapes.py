"""What a page chose, and what a builder tells of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from inspections.models import Record, ReturnToService
from inspections.reports.content import Sheet
from inspections.reports.kind_files import ReportKind
from inspections.reports.matter import Matter
from venue.models import Equipment, Part, Venue


@dataclass(frozen=True)
class Chosen:
    """What the report is to tell of. Which of these is set depends on what the kind asks for."""

    venue: Venue
    start: date | None = None
    end: date | None = None
    equipment: Sequence[Equipment] = ()
    record: Record | None = None
    rope: Part | None = None
    returned: ReturnToService | None = None


@dataclass(frozen=True)
class Told:
    """`said`: by the key of an item, what the records state of it; an item without stays empty.
    `examiners`: whoever did what is told, so that nobody signs it as their own who did not."""

    title: str
    records: Sequence[Record]
    examined_on: date
    next_due: date | None
    examiners: frozenset[int]
    matter: Matter
    sheets: tuple[Sheet, ...] = ()
    said: Mapping[str, str] = field(default_factory=dict)


def blank_matter(kind: ReportKind) -> Matter:
    return Matter(kind.slug, kind.hash, kind.name, kind.sources)


def day_words(day: date) -> str:
    return f"{day:%-d %B %Y}"


def local_day(at: datetime, venue: Venue) -> date:
    return at.astimezone(venue.zone).date()
