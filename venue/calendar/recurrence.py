"""The days and times that a recurrence rule gives (RFC 5545, 3.3.10), in local time. Pure.

Every rule is walked period by period (a year, a month, … a second) up to a last moment, so a rule
that never gives anything ends as surely as one that gives something every day; how many periods
may be walked is bounded too, each counted for the days that it has to be looked through.
"""

from __future__ import annotations

import calendar
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import product

FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY", "SECONDLY")
STEP = {
    "WEEKLY": timedelta(weeks=1), "DAILY": timedelta(days=1), "HOURLY": timedelta(hours=1),
    "MINUTELY": timedelta(minutes=1), "SECONDLY": timedelta(seconds=1),
}  # fmt: skip
MOST_PERIODS = 20_000  # fifty years of days, two of hours
MOST_IN_A_FILE = 1_500_000  # some five seconds of a processor
DAYS_A_STEP = 7  # days that are looked at while one moment is made


class RepeatsTooOften(ValueError):
    """A rule of more periods than anybody books a house for."""


class TooMuchToFollow(ValueError):
    """All rules of a file together."""


class Budget:
    """How many periods and moments may still be looked at."""

    def __init__(self, left: int = MOST_IN_A_FILE) -> None:
        self.left = left

    def spend(self, steps: int) -> None:
        self.left -= steps
        if self.left < 0:
            raise TooMuchToFollow("its recurrences are more than can be followed")


@dataclass(frozen=True)
class Rule:
    """One RRULE. Weekdays are 0 (Monday) to 6; in `by_day` each has its ordinal, 0 for none."""

    frequency: str
    interval: int = 1
    count: int | None = None
    by_month: tuple[int, ...] = ()
    by_week: tuple[int, ...] = ()
    by_year_day: tuple[int, ...] = ()
    by_month_day: tuple[int, ...] = ()
    by_day: tuple[tuple[int, int], ...] = ()
    by_hour: tuple[int, ...] = ()
    by_minute: tuple[int, ...] = ()
    by_second: tuple[int, ...] = ()
    by_position: tuple[int, ...] = ()
    week_start: int = 0
    # The last moment as written: a day, a local time, or one with its zone.
    until: date | datetime | None = None

    @property
    def within_a_day(self) -> bool:
        return self.frequency in ("HOURLY", "MINUTELY", "SECONDLY")


Exists = Callable[[datetime], bool]


def starts(
    rule: Rule, first: datetime, last: datetime, budget: Budget | None = None,
    exists: Exists = lambda moment: True,
) -> Iterator[datetime]:  # fmt: skip
    """Every start up to `last`, in order; `first` is the entry's own start and always one of them.
    A time that the clock jumps over does not exist: it is neither given nor counted (3.3.10).

    >>> weekly = Rule("WEEKLY", by_day=((0, 1), (0, 3)), count=3)  # Tuesdays and Thursdays
    >>> [str(day)[:10] for day in starts(weekly, datetime(1997, 9, 2, 9), datetime(1998, 1, 1))]
    ['1997-09-02', '1997-09-04', '1997-09-09']
    """
    if first <= last:
        yield first
    given, budget, work = 0, budget or Budget(), 1 + _days_looked_at(rule, first) // DAYS_A_STEP
    for number, begin in enumerate(_periods(rule, first)):
        if begin > last:
            return
        if number >= MOST_PERIODS:
            raise RepeatsTooOften("it repeats too often to be followed up to its first day here")
        moments = _of_period(rule, first, begin)
        budget.spend(work + len(moments))
        for moment in moments:
            if moment < first or not exists(moment):
                continue
            given += 1
            if moment > last or (rule.count is not None and given > rule.count):
                return
            if moment != first:
                yield moment


def _periods(rule: Rule, first: datetime) -> Iterator[datetime]:
    """The beginning of each period that the interval does not pass over."""
    try:
        if rule.frequency == "YEARLY":
            for year in range(first.year, 10_000, rule.interval):
                yield datetime.combine(date(year, 1, 1), time())
        elif rule.frequency == "MONTHLY":
            for month in range(first.year * 12 + first.month - 1, 120_000, rule.interval):
                yield datetime.combine(date(month // 12, month % 12 + 1, 1), time())
        else:
            yield from _even_periods(rule, first)
    except OverflowError:
        return


def _even_periods(rule: Rule, first: datetime) -> Iterator[datetime]:
    begin, step = first, STEP[rule.frequency] * rule.interval
    if not rule.within_a_day:
        begin = datetime.combine(first.date(), time())
    if rule.frequency == "WEEKLY":
        begin -= timedelta(days=(begin.weekday() - rule.week_start) % 7)
    while True:
        yield begin
        begin += step


def _of_period(rule: Rule, first: datetime, begin: datetime) -> list[datetime]:
    """The moments of one period; the positions asked for are counted among all of them."""
    if rule.within_a_day:
        found = _within_a_day(rule, first, begin)
    else:
        times = _times(rule, first)
        days = [day for day in _days(rule, first, begin) if _is_day(rule, first, day)]
        found = [datetime.combine(day, at) for day in days for at in times]
    if not rule.by_position:
        return found
    picked = {p - 1 if p > 0 else len(found) + p for p in rule.by_position}
    return [moment for place, moment in enumerate(found) if place in picked]


def _days(rule: Rule, first: datetime, begin: datetime) -> Iterator[date]:
    """The days of a period, without the months of a year in which the rule gives nothing."""
    if rule.frequency == "YEARLY":
        months = [date(begin.year, month, 1) for month in _months(rule, first)]
        spans = [(month, _month(month)) for month in months]
    elif rule.frequency == "MONTHLY":
        spans = [(begin.date(), _month(begin.date()))]
    else:
        spans = [(begin.date(), 7 if rule.frequency == "WEEKLY" else 1)]
    for start, length in spans:
        for day in range(length):
            yield start + timedelta(days=day)


def _months(rule: Rule, first: datetime) -> Iterable[int]:
    """The months in which a yearly rule can give a day: those it names, that of its first day where
    it names neither month nor day, else all."""
    if rule.by_month:
        return sorted(rule.by_month)
    names_days = rule.by_day or rule.by_month_day or rule.by_year_day or rule.by_week
    return range(1, 13) if names_days else (first.month,)


def _days_looked_at(rule: Rule, first: datetime) -> int:
    """About how many days a period costs; whether one lies in a week takes as long as ten others."""
    days = {"WEEKLY": 7, "MONTHLY": 30, "YEARLY": 30 * len(tuple(_months(rule, first)))}
    return days.get(rule.frequency, 1) * (10 if rule.by_week else 1)


def _times(rule: Rule, first: datetime) -> list[time]:
    hours = sorted(rule.by_hour) or [first.hour]
    minutes = sorted(rule.by_minute) or [first.minute]
    seconds = sorted(rule.by_second) or [first.second]
    # A leap second is no second of a clock here: 60 counts as 59.
    return [time(h, m, min(s, 59)) for h, m, s in product(hours, minutes, seconds)]


def _within_a_day(rule: Rule, first: datetime, begin: datetime) -> list[datetime]:
    if not _passes(rule, begin.date()):
        return []
    if rule.by_hour and begin.hour not in rule.by_hour:
        return []
    minutes, seconds = [begin.minute], [begin.second]
    if rule.frequency == "HOURLY":
        minutes = sorted(rule.by_minute) or [first.minute]
    elif rule.by_minute and begin.minute not in rule.by_minute:
        return []
    if rule.frequency != "SECONDLY":
        seconds = sorted(rule.by_second) or [first.second]
    elif rule.by_second and begin.second not in rule.by_second:
        return []
    return [
        begin.replace(minute=m, second=min(s, 59)) for m, s in product(minutes, seconds)
    ]  # fmt: skip


def _is_day(rule: Rule, first: datetime, day: date) -> bool:
    """Whether a day passes the rule's own parts, and what its first day says where they are silent
    (3.3.10: what is needed and not in the rule is taken from DTSTART)."""
    if not _passes(rule, day):
        return False
    if rule.by_day or rule.by_month_day or rule.by_year_day:
        return True
    if rule.by_week or rule.frequency == "WEEKLY":
        return day.weekday() == first.weekday()
    if rule.frequency == "DAILY":
        return True
    if rule.frequency == "YEARLY" and not rule.by_month and day.month != first.month:
        return False
    return day.day == first.day


def _passes(rule: Rule, day: date) -> bool:
    return (
        (not rule.by_month or day.month in rule.by_month)
        and (not rule.by_week or _in_weeks(rule, day))
        and (not rule.by_year_day or _counted(_year_day(day), _year(day), rule.by_year_day))
        and (not rule.by_month_day or _counted(day.day, _month(day), rule.by_month_day))
        and (not rule.by_day or any(_is_weekday(rule, day, *one) for one in rule.by_day))
    )


def _counted(place: int, length: int, asked: tuple[int, ...]) -> bool:
    """Whether a place is among those asked for; -1 is the last."""
    return place in asked or place - length - 1 in asked


def _year(day: date) -> int:
    return 366 if calendar.isleap(day.year) else 365


def _year_day(day: date) -> int:
    return day.timetuple().tm_yday


def _month(day: date) -> int:
    return calendar.monthrange(day.year, day.month)[1]


def _is_weekday(rule: Rule, day: date, ordinal: int, weekday: int) -> bool:
    """An ordinal counts within the month, or the year where a yearly rule names no month."""
    if day.weekday() != weekday or not ordinal:
        return day.weekday() == weekday
    yearly = rule.frequency == "YEARLY" and not rule.by_month
    place, length = (_year_day(day), _year(day)) if yearly else (day.day, _month(day))
    return ordinal in ((place - 1) // 7 + 1, -((length - place) // 7 + 1))


def _in_weeks(rule: Rule, day: date) -> bool:
    """Week 1 is the first with at least four days in the year, whatever day weeks begin with."""
    start = day - timedelta(days=(day.weekday() - rule.week_start) % 7)
    year = (start + timedelta(days=3)).year
    number = (start - _week_one(year, rule.week_start)).days // 7 + 1
    weeks = (_week_one(year + 1, rule.week_start) - _week_one(year, rule.week_start)).days // 7
    return _counted(number, weeks, rule.by_week)


def _week_one(year: int, week_start: int) -> date:
    fourth = date(year, 1, 4)
    return fourth - timedelta(days=(fourth.weekday() - week_start) % 7)
