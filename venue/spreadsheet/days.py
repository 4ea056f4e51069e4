"""Days as people write them. What may mean two days is asked about, never guessed. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

DAY_FIRST, MONTH_FIRST = "dmy", "mdy"
MONTHS = (
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
)  # fmt: skip
ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[ T]00:00(?::00)?)?")
NUMBERS = re.compile(r"(\d{1,2})([-/. ])(\d{1,2})\2(\d{4}|\d{2})")
DAY_WORD = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[ .-]+([A-Za-z]{3,9})\.?,?[ -]+(\d{4}|\d{2})")
WORD_DAY = re.compile(r"([A-Za-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})")


@dataclass(frozen=True)
class DayRead:
    """A day, or both days that it may be, or why it is none."""

    day: date | None = None
    either: tuple[date, date] | None = None  # day first, month first
    fault: str = ""


def read_day(text: str, order: str, today: date) -> DayRead:
    """`order` says how 03/04/2026 is meant: day first, month first, or nothing: nobody said.

    >>> read_day("3 Apr 2019", "", date(2026, 1, 1)).day
    datetime.date(2019, 4, 3)
    >>> read_day("03/04/2019", "", date(2026, 1, 1)).either[1]
    datetime.date(2019, 3, 4)
    """
    tidy = " ".join(text.split())
    if found := ISO.fullmatch(tidy):
        return _checked(int(found[1]), int(found[2]), int(found[3]), today)
    if found := DAY_WORD.fullmatch(tidy):
        return _worded(found[1], found[2], found[3], today)
    if found := WORD_DAY.fullmatch(tidy):
        return _worded(found[2], found[1], found[3], today)
    if found := NUMBERS.fullmatch(tidy):
        return _numbers(found, order, today)
    return DayRead(fault="is not a day that can be read")


def _worded(day: str, month: str, year: str, today: date) -> DayRead:
    if month[:3].lower() not in MONTHS:
        return DayRead(fault=f"names no month: “{month}”")
    return _checked(_year(year, today), MONTHS.index(month[:3].lower()) + 1, int(day), today)


def _numbers(found: re.Match[str], order: str, today: date) -> DayRead:
    first, second, year = int(found[1]), int(found[3]), _year(found[4], today)
    if found[2] == "." and not order:
        order = DAY_FIRST  # nobody writes points with the month first
    if first == second:
        order = DAY_FIRST
    by_day, by_month = (year, second, first), (year, first, second)
    if order:
        return _checked(*(by_day if order == DAY_FIRST else by_month), today)
    possible = [_checked(*one, today) for one in (by_day, by_month)]
    days = [one.day for one in possible if one.day]
    if len(days) == 2:
        return DayRead(either=(days[0], days[1]))
    return next((one for one in possible if one.day), possible[0])


def _year(text: str, today: date) -> int:
    """Two digits are of this century, unless that lies ahead."""
    if len(text) == 4:
        return int(text)
    year = today.year // 100 * 100 + int(text)
    return year if year <= today.year else year - 100


def _checked(year: int, month: int, day: int, today: date) -> DayRead:
    try:
        found = date(year, month, day)
    except ValueError:
        return DayRead(fault="is not a day of the calendar")
    if found > today:
        return DayRead(fault="lies in the future")
    return DayRead(found) if year >= 1850 else DayRead(fault="is too long ago to be right")


def order_shown(texts: Iterable[str], today: date) -> str:
    """How the days of a column are written, where one of them shows it: 23/04 has the day first. In
    two minds, or where none shows it: nothing.

    >>> order_shown(["03/04/2019", "23/04/2019"], date(2026, 1, 1))
    'dmy'
    """
    shown = set()
    for text in texts:
        found = NUMBERS.fullmatch(" ".join(text.split()))
        if found and found[2] != "." and (int(found[1]) > 12) != (int(found[3]) > 12):
            shown.add(DAY_FIRST if int(found[1]) > 12 else MONTH_FIRST)
    return shown.pop() if len(shown) == 1 else ""
