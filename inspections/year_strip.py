"""A year of work week by week: what was done, what is late, what is due and what is to come. Pure.

Each task counts once, in one week: a done one where it was done, a late one where its last lawful day
was, one whose planned day has gone by in this week, since now is when it can be done, any other where
it is planned.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

DONE, LATE, DUE, PLANNED = "done", "late", "due", "planned"
# Worst first: what a week is marked with before all else.
STANDINGS = (LATE, DUE, PLANNED, DONE)
BEFORE, AFTER = 26, 26  # weeks beside this one: 53 in all
WEEK, DAY = timedelta(days=7), timedelta(days=1)
TONES = 4

Days = Iterable[tuple[date, int]]  # how many tasks have that day


@dataclass(frozen=True)
class Counted:
    """How many tasks each day has: done by the day done, late by the last lawful day, open and
    still lawful by the planned day."""

    done: Days
    done_late: Days
    late: Days
    open: Days


@dataclass(frozen=True)
class Week:
    monday: date
    counts: tuple[tuple[str, int], ...]  # standing and number, the worst first, none that is zero
    done_late: int = 0
    tone: int = 0  # how much work, from 0 to TONES against the fullest week
    is_now: bool = False

    @property
    def sunday(self) -> date:
        return self.monday + WEEK - DAY

    @property
    def number(self) -> int:
        return sum(number for _, number in self.counts)


@dataclass(frozen=True)
class Month:
    first: date
    weeks: tuple[Week, ...]


@dataclass(frozen=True)
class YearStrip:
    months: tuple[Month, ...]
    late_before: int  # late since before the first week: they must not fall off the edge
    total: Mapping[str, int] = field(default_factory=dict)


def monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


def week_asked(text: str) -> date | None:
    """The Monday of the week of a day in an address; none where there is no such day.

    >>> week_asked("2026-11-26"), week_asked("2026-02-30"), week_asked("")
    (datetime.date(2026, 11, 23), None, None)
    """
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return monday_of(day) if date(1900, 1, 1) <= day <= date(9000, 1, 1) else None


def ends_of(day: date) -> tuple[date, date]:
    """The first Monday and the last Sunday that are shown on that day.

    >>> ends_of(date(2026, 11, 26))
    (datetime.date(2026, 5, 25), datetime.date(2027, 5, 30))
    """
    now = monday_of(day)
    return now - BEFORE * WEEK, now + AFTER * WEEK + WEEK - DAY


def year_strip(counted: Counted, day: date) -> YearStrip:
    first, last = ends_of(day)
    now = monday_of(day)
    found: dict[date, dict[str, int]] = {}
    late_before = 0
    for on, number in counted.late:
        late_before += number if on < first else 0
        _add(found, monday_of(on), LATE, number)
    for on, number in counted.done:
        _add(found, monday_of(on), DONE, number)
    for on, number in counted.open:
        week = max(monday_of(on), now)
        _add(found, week, DUE if week == now else PLANNED, number)
    late = _by_week(counted.done_late)
    shown = {monday: found.get(monday, {}) for monday in _mondays(first, last)}
    most = max((sum(each.values()) for each in shown.values()), default=0)
    weeks = [_week(monday, each, late.get(monday, 0), most, now) for monday, each in shown.items()]
    total = {one: sum(each.get(one, 0) for each in shown.values()) for one in STANDINGS}
    return YearStrip(tuple(_months(weeks)), late_before, total)


def _add(found: dict[date, dict[str, int]], monday: date, standing: str, number: int) -> None:
    week = found.setdefault(monday, {})
    week[standing] = week.get(standing, 0) + number


def _by_week(days: Days) -> dict[date, int]:
    found: dict[date, int] = {}
    for on, number in days:
        found[monday_of(on)] = found.get(monday_of(on), 0) + number
    return found


def _mondays(first: date, last: date) -> Iterator[date]:
    while first <= last:
        yield first
        first += WEEK


def _week(monday: date, each: dict[str, int], done_late: int, most: int, now: date) -> Week:
    counts = tuple((one, each[one]) for one in STANDINGS if each.get(one))
    number = sum(each.values())
    tone = -(-number * TONES // most) if most else 0
    return Week(monday, counts, done_late, tone, monday == now)


def _months(weeks: Iterable[Week]) -> list[Month]:
    """A week belongs to the month of its Monday."""
    months: list[Month] = []
    for week in weeks:
        first = week.monday.replace(day=1)
        if months and months[-1].first == first:
            months[-1] = Month(first, (*months[-1].weeks, week))
        else:
            months.append(Month(first, (week,)))
    return months
