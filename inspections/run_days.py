"""Days between two bookings of one run: what was built for it is taken to stand on them. Pure.

A run is what has one title, or is one series of a calendar. Nothing in a calendar says that a set was
struck on an empty Monday; a load-out does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from venue.calendar.kinds import plain

USUAL_PAUSE = 10  # days from one booking of a run to the next
LONGEST_PAUSE = 31
# A weekly maintenance call or class is no run; a hire of some days is.
PAUSE_OF_OTHER_USE = 3
DARK, OTHER, LOAD_OUT = "dark", "other", "load_out"


@dataclass(frozen=True)
class Booked:
    """A booking in the venue's own time. `series`: its calendar and UID; empty: entered by hand."""

    what: str
    title: str
    starts: datetime
    ends: datetime
    leaves: frozenset[str] = frozenset()  # access states by their slugs
    series: str = ""
    words: str = ""  # what it is called in a sentence, where that is not its title

    @property
    def first(self) -> date:
        return self.starts.date()

    @property
    def last(self) -> date:
        """One that ends at midnight does not touch the day that begins then."""
        return (self.ends - timedelta(microseconds=1)).date()


def run_days(bookings: Iterable[Booked], longest_pause: int) -> dict[date, tuple[str, ...]]:
    """The days that lie between two bookings of a run, with the titles of the runs. A day that has a
    booking of its own may be among them. `longest_pause`: in days, from booking to booking; with 0
    there are none."""
    found: dict[date, dict[str, None]] = {}
    for run in _runs(bookings):
        for before, after in _neighbours(run):
            if not _stands(before, after, longest_pause):
                continue
            title = min(before.title, after.title, key=len)  # without “: load-out”
            for day in range(1, (after.first - before.last).days):
                found.setdefault(before.last + timedelta(days=day), {})[title] = None
    return {day: tuple(titles) for day, titles in found.items()}


def _runs(bookings: Iterable[Booked]) -> Iterable[list[Booked]]:
    """A dark day is no part of a run: it neither builds nor strikes."""
    runs: dict[tuple[str, str], list[Booked]] = {}
    for booked in sorted(bookings, key=lambda one: (one.starts, one.ends)):
        if booked.what == DARK:
            continue
        runs.setdefault(("title", plain(booked.title) or booked.title), []).append(booked)
        if booked.series:
            runs.setdefault(("series", booked.series), []).append(booked)
    return runs.values()


def _neighbours(run: Sequence[Booked]) -> Iterator[tuple[Booked, Booked]]:
    """Each with the next that begins after all before it have ended."""
    latest = list(run[:1])
    for booked in run[1:]:
        latest.append(booked if booked.ends >= latest[-1].ends else latest[-1])
    yield from zip(latest, run[1:], strict=False)


def _stands(before: Booked, after: Booked, longest_pause: int) -> bool:
    if before.what == LOAD_OUT != after.what:
        return False  # it was struck; a load-out of several days may pause
    other = OTHER in (before.what, after.what)
    most = min(longest_pause, PAUSE_OF_OTHER_USE) if other else longest_pause
    return (after.first - before.last).days <= most
