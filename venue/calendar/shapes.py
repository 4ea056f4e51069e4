"""What a calendar file holds, and what it comes to. Pure."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from venue.calendar.recurrence import Rule

Moment = date | datetime  # as written: a day, a local time, or a time with its zone


class UnreadableCalendar(ValueError):
    """The file is no calendar that can be read; the sentence says why."""


@dataclass(frozen=True)
class Period:
    """One more time of an entry (RDATE); without an end it takes as long as the entry."""

    start: Moment
    end: Moment | timedelta | None = None


@dataclass(frozen=True)
class Entry:
    """One VEVENT as written."""

    uid: str
    title: str
    start: Moment
    end: Moment | None = None
    duration: timedelta | None = None
    location: str = ""
    categories: str = ""
    cancelled: bool = False
    sequence: int = 0
    changed: datetime | None = None
    rules: tuple[Rule, ...] = ()
    more: tuple[Period, ...] = ()
    not_at: tuple[Moment, ...] = ()
    instead_of: Moment | None = None  # RECURRENCE-ID: the occurrence that this entry replaces
    and_later: bool = False  # RANGE=THISANDFUTURE
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, order=True)
class Fault:
    """An entry that cannot be placed in the calendar, and why."""

    title: str
    words: str


@dataclass
class CalendarFile:
    entries: list[Entry] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    # A message that takes entries back (METHOD:CANCEL): their UID, and one occurrence or all.
    taken_back: list[tuple[str, Moment | None]] = field(default_factory=list)
    passed_over: Counter[str] = field(default_factory=Counter)
    method: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether what it does not name is no longer booked: a published calendar, no message."""
        return self.method in ("", "PUBLISH")


@dataclass(frozen=True)
class Occurrence:
    """One time that something takes place, in UTC. `original` names it within its series for good;
    it is empty for what takes place once."""

    uid: str
    original: str
    title: str
    starts: datetime
    ends: datetime
    all_day: bool = False
    location: str = ""
    categories: str = ""
    cancelled: bool = False
    notes: tuple[str, ...] = ()


@dataclass
class Expansion:
    occurrences: list[Occurrence] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    # Taken back by a message: the UID and the occurrence; "" stands for all of them.
    taken_back: set[tuple[str, str]] = field(default_factory=set)
