"""Which days a year board shows at each zoom, and in which columns. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

YEAR, QUARTER, MONTH, WEEK = "year", "quarter", "month", "week"
ZOOMS = (YEAR, QUARTER, MONTH, WEEK)
MORNING, AFTERNOON = "am", "pm"
HALVES = (MORNING, AFTERNOON)
WEEKS_OF_A_YEAR = 53
A_WEEK = timedelta(days=7)
A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Column:
    """A day of the board, or a whole week of it when the zoom is a year."""

    first: date
    days: int = 1

    @property
    def last(self) -> date:
        return self.first + timedelta(days=self.days - 1)

    @property
    def is_weekend(self) -> bool:
        return self.days == 1 and self.first.weekday() >= 5


@dataclass(frozen=True)
class Span:
    """Columns under one heading: a month, or the month of a week's Monday."""

    first: date
    columns: int


@dataclass(frozen=True)
class Period:
    """What one look at the board shows."""

    zoom: str
    first: date
    last: date
    columns: tuple[Column, ...]

    @property
    def by_week(self) -> bool:
        return self.zoom == YEAR

    @property
    def halves(self) -> tuple[str, ...]:
        """The lines of each row: both halves of a day, or none to tell apart in a week."""
        return ("",) if self.by_week else HALVES

    @property
    def months(self) -> list[Span]:
        spans: list[Span] = []
        for column in self.columns:
            if spans and (spans[-1].first.year, spans[-1].first.month) == (
                column.first.year,
                column.first.month,
            ):
                spans[-1] = Span(spans[-1].first, spans[-1].columns + 1)
            else:
                spans.append(Span(column.first, 1))
        return spans

    @property
    def before(self) -> date:
        """A day of the look before this one."""
        return self.first - (timedelta(days=357) if self.by_week else A_DAY)

    @property
    def after(self) -> date:
        return self.last + A_DAY


def period_of(zoom: str, day: date) -> Period:
    """The look at the board that holds this day. A year is 53 weeks from the week of the day; the
    others are those of the calendar, weeks from Monday.

    >>> period_of("month", date(2028, 2, 10)).last
    datetime.date(2028, 2, 29)
    >>> period_of("quarter", date(2027, 5, 4)).first
    datetime.date(2027, 4, 1)
    >>> len(period_of("year", date(2027, 1, 1)).columns)
    53
    """
    first, last = _ends(zoom, day)
    step = A_WEEK if zoom == YEAR else A_DAY
    return Period(zoom, first, last, tuple(_columns(first, last, step)))


def year_begins(first: date, day: date) -> date:
    """Where the look at the year that holds this day begins: with the plan, or whole years of 52
    weeks after it.

    >>> year_begins(date(2026, 12, 23), date(2027, 5, 4)), year_begins(date(2026, 12, 23), date(2028, 1, 1))
    (datetime.date(2026, 12, 21), datetime.date(2027, 12, 20))
    """
    monday = monday_of(first)
    return monday + 52 * A_WEEK * ((day - monday).days // 364)


def monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _ends(zoom: str, day: date) -> tuple[date, date]:
    if zoom == YEAR:
        first = monday_of(day)
        return first, first + WEEKS_OF_A_YEAR * A_WEEK - A_DAY
    if zoom == WEEK:
        first = monday_of(day)
        return first, first + A_WEEK - A_DAY
    if zoom == MONTH:
        first = day.replace(day=1)
        return first, _month_after(first) - A_DAY
    first = day.replace(month=3 * ((day.month - 1) // 3) + 1, day=1)
    return first, _month_after(_month_after(_month_after(first))) - A_DAY


def _month_after(first: date) -> date:
    return (first + timedelta(days=31)).replace(day=1)


def _columns(first: date, last: date, step: timedelta) -> Iterator[Column]:
    day = first
    while day <= last:
        yield Column(day, step.days)
        day += step
