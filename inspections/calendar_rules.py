"""When an interval falls due. Pure.

The rules, in words:
- An interval is a whole number of days, weeks, months or years: P10D, P2W, P6M, P1Y.
- The k-th due day is the anchor plus k intervals, always counted from the anchor itself, never
  from the day before it in the row. So 31 January, monthly, gives 28 February and then 31 March.
- A month too short for the anchor's day gives its last day; 29 February, yearly, gives
  28 February in a common year and 29 February again in a leap year. A day is never skipped and
  never moved into the next month: both would let a lawful maximum be passed. Calendar
  programs after RFC 5545 (September 2009), 3.3.10, skip such a month; this book must not.
- Days are days of the venue's own calendar. No hour is involved, so a change of clocks is not.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, date, timedelta
from functools import lru_cache

DURATION = re.compile(r"P([0-9]{1,4})([DWMY])")


class UnreadableInterval(ValueError):
    """Not an interval this book can count with."""


@dataclass(frozen=True)
class Interval:
    """A whole number of months (a year is twelve) or of days (a week is seven)."""

    months: int = 0
    days: int = 0

    @property
    def is_zero(self) -> bool:
        return not (self.months or self.days)


@lru_cache(maxsize=512)  # a house has few intervals and many tasks
def read_interval(text: str) -> Interval:
    """An ISO 8601 duration of one unit.

    >>> read_interval("P1Y"), read_interval("P2W")
    (Interval(months=12, days=0), Interval(months=0, days=14))
    """
    found = DURATION.fullmatch(text)
    if found is None:
        raise UnreadableInterval(f"{text!r} is not an interval like P10D, P2W, P6M or P1Y")
    number, unit = int(found.group(1)), found.group(2)
    if unit in "MY":
        return Interval(months=number * (12 if unit == "Y" else 1))
    return Interval(days=number * (7 if unit == "W" else 1))


def interval_words(text: str) -> str:
    """
    >>> interval_words("P1Y"), interval_words("P6M"), interval_words("P1D")
    ('every year', 'every 6 months', 'every day')
    """
    read_interval(text)
    number, unit = int(text[1:-1]), {"D": "day", "W": "week", "M": "month", "Y": "year"}[text[-1]]
    return f"every {unit}" if number == 1 else f"every {number} {unit}s"


def due_date(anchor: date, interval: str, k: int) -> date:
    """The k-th due day: anchor + k * interval, clamped to the end of a month that is too short.

    Valid for k >= 0 and days within the calendar of this program (years 1 to 9999); outside of
    that ValueError or OverflowError. Source: the interval of a thorough examination is a
    maximum (SI 1998/2307 reg. 9(3)); clamping to the earlier day is our reading of it.

    >>> due_date(date(2024, 2, 29), "P1Y", 1), due_date(date(2024, 2, 29), "P1Y", 4)
    (datetime.date(2025, 2, 28), datetime.date(2028, 2, 29))
    """
    if k < 0:
        raise ValueError("A due day is counted forwards from its anchor.")
    step = read_interval(interval)
    return _add_months(anchor, k * step.months) + timedelta(days=k * step.days)


def add_interval(day: date, step: Interval) -> date:
    """One interval after a day, clamped as `due_date` is.

    >>> add_interval(date(2027, 1, 31), Interval(months=1))
    datetime.date(2027, 2, 28)
    """
    return _add_months(day, step.months) + timedelta(days=step.days)


def shift_back(day: date, interval: str) -> date:
    """The day one interval before, clamped to the end of a month that is too short.

    >>> shift_back(date(2025, 3, 31), "P1M")
    datetime.date(2025, 2, 28)
    """
    step = read_interval(interval)
    return _add_months(day, -step.months) - timedelta(days=step.days)


def occurrences(anchor: date, interval: str, until: date) -> Iterator[date]:
    """Every due day from the anchor on, the anchor and `until` included.

    >>> [day.day for day in occurrences(date(2025, 1, 31), "P1M", date(2025, 4, 30))]
    [31, 28, 31, 30]
    """
    if read_interval(interval).is_zero:
        raise UnreadableInterval("An interval of nothing never comes round.")
    k = 0
    while (day := due_date(anchor, interval, k)) <= until:
        yield day
        k += 1


def _add_months(day: date, months: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if not MINYEAR <= year <= MAXYEAR:
        raise OverflowError(f"{day} and {months} months is outside the calendar.")
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
