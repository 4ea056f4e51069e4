"""What holds the house in each half-day, and what that leaves accessible. Pure.

The planner asks what a half-day leaves accessible; whoever looks at the board wants to know what it is
that holds it. Both are answered here, so that they cannot differ.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from inspections.board_grid import HALVES, MORNING
from inspections.run_days import DARK, USUAL_PAUSE, Booked, run_days
from venue.kind_shapes import ACCESS_WORDS

FREE, BESIDE, WITHIN = "free", "beside", "within"
UNKNOWN, OUTSIDE = "unknown", "outside"
UNASKED = "unasked"  # a booking stands there, and nobody has said yet what it is
# Where several hold one half-day, the first of these gives it its look; all are named.
ORDER = (
    UNASKED, "performance", "load_in", "load_out", "rehearsal", "other", DARK, BESIDE, WITHIN, FREE, UNKNOWN, OUTSIDE,
)  # fmt: skip
SHORT = {
    UNASKED: "??",
    "performance": "Show", "load_in": "In", "load_out": "Out", "rehearsal": "Reh", "other": "Use",
    DARK: "Dark", BESIDE: "Part", WITHIN: "Gap", FREE: "", UNKNOWN: "?", OUTSIDE: "",
}  # fmt: skip
WORDS = {
    UNASKED: "a booking of which nobody has said what it is",
    "performance": "performance", "load_in": "load-in", "load_out": "load-out",
    "rehearsal": "rehearsal", "other": "other use", DARK: "dark", FREE: "nothing booked",
    BESIDE: "part of a day with a booking", WITHIN: "nothing booked between two bookings of a run",
    UNKNOWN: "not known: the calendar is not entered so far",
    OUTSIDE: "outside this plan",
}  # fmt: skip

HalfDay = tuple[date, str]
EVERYTHING = frozenset(ACCESS_WORDS)


@dataclass(frozen=True)
class Hours:
    """When the halves of a day begin and end, in whole hours."""

    morning: int = 8
    noon: int = 13
    evening: int = 18

    def of(self, half: str) -> tuple[int, int]:
        return (self.morning, self.noon) if half == MORNING else (self.noon, self.evening)


@dataclass(frozen=True)
class Habits:
    """What can be reached beside a booking, and how many days a run may pause with its set standing."""

    hours: Hours = field(default_factory=Hours)
    beside: frozenset[str] = frozenset()
    longest_pause: int = USUAL_PAUSE


@dataclass(frozen=True)
class Hold:
    """What holds one half-day, and which access states it leaves, by their slugs."""

    what: str
    titles: tuple[str, ...] = ()
    leaves: frozenset[str] = EVERYTHING
    named: tuple[str, ...] = ()  # the bookings that stand in it, each with its kind

    @property
    def blocked(self) -> bool:
        """Nothing of the house can be reached."""
        return not self.leaves

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


NOTHING_BOOKED, NOT_IN_IT = Hold(FREE), Hold(OUTSIDE)
NOT_KNOWN = Hold(UNKNOWN, leaves=frozenset())


def held_half_days(
    bookings: Iterable[Booked], first: date, last: date, known_until: date | None, habits: Habits
) -> dict[HalfDay, Hold]:
    """Every half-day from the first to the last day. Without a day until which the calendar is
    entered, a day on which nothing is booked is not known to be free. The bookings of
    `habits.longest_pause` days before and after tell what is within a run."""
    booked = list(bookings)
    runs = run_days(booked, habits.longest_pause)
    found: dict[HalfDay, list[Booked]] = {}
    touched: dict[date, list[Booked]] = {}
    for one in booked:
        for day in _days(max(one.first, first), min(one.last, last)):
            touched.setdefault(day, []).append(one)
            for half in HALVES:
                if _meets(one, day, *habits.hours.of(half)):
                    found.setdefault((day, half), []).append(one)
    return {
        (day, half): _hold(
            found.get((day, half), []), touched.get(day, []), runs.get(day, ()), habits
        )
        if (day, half) in found or (known_until and day <= known_until)
        else NOT_KNOWN
        for day in _days(first, last)
        for half in HALVES
    }


def _hold(here: list[Booked], touched: list[Booked], runs: tuple[str, ...], habits: Habits) -> Hold:
    if here:
        return _of_bookings(here)
    if touched:
        return Hold(BESIDE, _titles(touched), _left_of(touched, habits.beside))
    return Hold(WITHIN, runs, habits.beside) if runs else NOTHING_BOOKED


def _of_bookings(here: list[Booked]) -> Hold:
    """Where bookings overlap, only what all of them leave can be reached."""
    kinds = (UNASKED if one.what == UNKNOWN else one.what for one in here)
    leaves = EVERYTHING.intersection(*(one.leaves for one in here))
    named = tuple(one.words or one.title for one in here)
    return Hold(min(kinds, key=ORDER.index), _titles(here), leaves, named)


def _left_of(touched: list[Booked], beside: frozenset[str]) -> frozenset[str]:
    """In the part of a day that no booking holds: what stands for the bookings of that day stays, and
    what is said of a dark part of it holds for the day."""
    return EVERYTHING.intersection(*(one.leaves if one.what == DARK else beside for one in touched))


def _titles(bookings: list[Booked]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one.title for one in bookings))


def _meets(booked: Booked, day: date, begins: int, ends: int) -> bool:
    midnight = datetime.combine(day, time(), tzinfo=booked.starts.tzinfo)
    return booked.starts < midnight + timedelta(hours=ends) and booked.ends > midnight + timedelta(
        hours=begins
    )


def _days(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]
