"""What holds the house in each half-day, for people to read. Pure.

The planner asks only what a half-day leaves accessible; whoever looks at the board wants to know
what it is that holds it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from inspections.board_grid import HALVES, MORNING

FREE, DARK, BESIDE, UNKNOWN, OUTSIDE = "free", "dark", "beside", "unknown", "outside"
UNASKED = "unasked"  # a booking stands there, and nobody has said yet what it is
# Where several hold one half-day, the first of these gives it its look; all are named.
ORDER = (
    UNASKED, "performance", "load_in", "load_out", "rehearsal", "other", DARK, BESIDE, FREE, UNKNOWN, OUTSIDE,
)  # fmt: skip
SHORT = {
    UNASKED: "??",
    "performance": "Show", "load_in": "In", "load_out": "Out", "rehearsal": "Reh", "other": "Use",
    DARK: "Dark", BESIDE: "Part", FREE: "", UNKNOWN: "?", OUTSIDE: "",
}  # fmt: skip
WORDS = {
    UNASKED: "a booking of which nobody has said what it is",
    "performance": "performance", "load_in": "load-in", "load_out": "load-out",
    "rehearsal": "rehearsal", "other": "other use", DARK: "dark", FREE: "nothing booked",
    BESIDE: "part of a day with a booking", UNKNOWN: "not known: the calendar is not entered so far",
    OUTSIDE: "outside this plan",
}  # fmt: skip

HalfDay = tuple[date, str]


@dataclass(frozen=True)
class Booked:
    """A booking in the venue's own time."""

    what: str
    title: str
    starts: datetime
    ends: datetime
    leaves: bool  # whether anything is left accessible


@dataclass(frozen=True)
class Hours:
    """When the halves of a day begin and end, in whole hours."""

    morning: int = 8
    noon: int = 13
    evening: int = 18


@dataclass(frozen=True)
class Hold:
    """What holds one half-day. `blocked`: nothing of the house can be reached."""

    what: str
    titles: tuple[str, ...] = ()
    blocked: bool = False

    @property
    def short(self) -> str:
        return SHORT[self.what]

    @property
    def letter(self) -> str:
        return self.short[:1]

    @property
    def words(self) -> str:
        """What it is, and which bookings by name."""
        left = ", leaves nothing accessible" if self.blocked and self.what != UNKNOWN else ""
        titles = ", ".join(self.titles)
        if titles.casefold().startswith(WORDS[self.what]):
            return f"{titles}{left}"
        return f"{WORDS[self.what]}{': ' if titles else ''}{titles}{left}"


NOTHING_BOOKED, NOT_KNOWN, NOT_IN_IT = Hold(FREE), Hold(UNKNOWN, blocked=True), Hold(OUTSIDE)


def held_half_days(
    bookings: Iterable[Booked], first: date, last: date, known_until: date | None, hours: Hours
) -> dict[HalfDay, Hold]:
    """Every half-day from the first to the last day. Without a day until which the calendar is
    entered, a day on which nothing is booked is not known to be free."""
    found: dict[HalfDay, list[Booked]] = {}
    busy: dict[date, list[str]] = {}
    for booked in bookings:
        for day in _days(max(booked.starts.date(), first), min(booked.ends.date(), last)):
            if booked.what != DARK and _meets(booked, day, 0, 24):
                busy.setdefault(day, []).append(booked.title)
            for half in HALVES:
                if _meets(booked, day, *_from_to(half, hours)):
                    found.setdefault((day, half), []).append(booked)
    return {
        (day, half): _hold(found.get((day, half), []), busy.get(day, []), day, known_until)
        for day in _days(first, last)
        for half in HALVES
    }


def _hold(here: list[Booked], busy: list[str], day: date, known_until: date | None) -> Hold:
    if here:
        kinds = (UNASKED if booked.what == UNKNOWN else booked.what for booked in here)
        what = min(kinds, key=ORDER.index)
        titles = tuple(dict.fromkeys(booked.title for booked in here))
        return Hold(what, titles, any(not booked.leaves for booked in here))
    if busy:
        return Hold(BESIDE, tuple(dict.fromkeys(busy)))
    return NOTHING_BOOKED if known_until and day <= known_until else NOT_KNOWN


def _from_to(half: str, hours: Hours) -> tuple[int, int]:
    return (hours.morning, hours.noon) if half == MORNING else (hours.noon, hours.evening)


def _meets(booked: Booked, day: date, begins: int, ends: int) -> bool:
    midnight = datetime.combine(day, time(), tzinfo=booked.starts.tzinfo)
    return booked.starts < midnight + timedelta(hours=ends) and booked.ends > midnight + timedelta(
        hours=begins
    )


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]
