"""Days as people write them. What may mean two days is asked about, never guessed. Pure."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

from venue.spreadsheet.words import plain

FILE = Path(__file__).with_name("day_words.toml")

DAY_FIRST, MONTH_FIRST = "dmy", "mdy"
ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
NUMBERS = re.compile(r"(\d{1,2})([-/. ])(\d{1,2})\2(\d{4}|\d{2})")
DAY_WORD = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th)?[ ./-]+(?:de )?([^\W\d_]{3,10})\.?,?(?:[ /-]+| del? )(\d{4}|\d{2})"
)
WORD_DAY = re.compile(r"([^\W\d_]{3,10})\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})")
MONTH_ONLY = re.compile(r"([^\W\d_]{3,10})\.?(?:[ ./-]+| del? )(\d{4})")
NUMBERED_MONTH = re.compile(r"(\d{1,2})[ ./-](\d{4})")
ISO_MONTH = re.compile(r"(\d{4})-(\d{1,2})")
YEAR_ONLY = re.compile(r"\d{4}")
CLOCK = re.compile(r"[ T]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?$")
LONGEST_SINCE = 40  # years; a look longer ago is likelier a slip of the pen
LONGEST_AHEAD = 15  # years; two digits of a year no further ahead are a day to come, not the 1930s


@dataclass(frozen=True)
class DayRead:
    """A day, or both days that it may be, or why it is none."""

    day: date | None = None
    either: tuple[date, date] | None = None  # day first, month first
    fault: str = ""
    ahead: date | None = None  # the day that is refused because it lies in the future


def read_day(text: str, order: str, today: date) -> DayRead:
    """`order` says how 03/04/2026 is meant: day first, month first, or nothing: nobody said.

    >>> read_day("3 Apr 2019", "", date(2026, 1, 1)).day
    datetime.date(2019, 4, 3)
    >>> read_day("03/04/2019", "", date(2026, 1, 1)).either[1]
    datetime.date(2019, 3, 4)
    """
    tidy = _tidy(text)
    if found := ISO.fullmatch(tidy):
        return _checked(int(found[1]), int(found[2]), int(found[3]), today)
    if found := DAY_WORD.fullmatch(tidy):
        return _worded(found[1], found[2], found[3], today)
    if found := WORD_DAY.fullmatch(tidy):
        return _worded(found[2], found[1], found[3], today)
    if found := NUMBERS.fullmatch(tidy):
        return _numbers(found, order, today)
    return DayRead(fault="is not a day that can be read")


def read_last_day(text: str, order: str, today: date) -> DayRead:
    """The day on which something was last looked at. A month or a year alone is the first day that it
    may be: whatever is counted from it then falls due too early rather than too late.

    >>> read_last_day("März 2025", "", date(2026, 1, 1)).day
    datetime.date(2025, 3, 1)
    >>> read_last_day("12/03/1930", "dmy", date(2026, 1, 1)).fault
    'is too long ago to be right'
    >>> read_last_day("12/03/27", "dmy", date(2026, 1, 1)).ahead
    datetime.date(2027, 3, 12)
    """
    first = _first_day_in(_tidy(text))
    read = _checked(*first, today) if first else read_day(text, order, today)
    days = [read.day] if read.day else list(read.either or ())
    if not days or min(days).year >= today.year - LONGEST_SINCE:
        return read
    soon = min(days).year + 100
    if soon <= today.year + LONGEST_AHEAD and not re.search(r"\d{4}", text):
        return DayRead(fault="lies in the future", ahead=min(days).replace(year=soon))
    return DayRead(fault="is too long ago to be right")


def names_a_day(text: str) -> bool:
    """Whether more than a month or a year stands there."""
    return _first_day_in(_tidy(text)) is None


def _first_day_in(tidy: str) -> tuple[int, int, int] | None:
    """Of a month or a year alone: year, month, 1."""
    if (found := MONTH_ONLY.fullmatch(tidy)) and (month := month_of(found[1])):
        return int(found[2]), month, 1
    if found := NUMBERED_MONTH.fullmatch(tidy):
        return int(found[2]), int(found[1]), 1
    if found := ISO_MONTH.fullmatch(tidy):
        return int(found[1]), int(found[2]), 1
    return (int(tidy), 1, 1) if YEAR_ONLY.fullmatch(tidy) else None


def _tidy(text: str) -> str:
    """Single spaces; without the day of the week before it and the time of day after it."""
    first, _, rest = " ".join(text.split()).partition(" ")
    is_weekday = plain(first) in _known("weekday") and rest[:1].isalnum()
    return CLOCK.sub("", rest if is_weekday else f"{first} {rest}".strip())


def month_of(word: str) -> int:
    """1 to 12 by the name or its beginning, in English, German or Spanish; 0 where it is none.

    >>> month_of("Sept"), month_of("März"), month_of("ene"), month_of("Foo")
    (9, 3, 1, 0)
    """
    bare = plain(word)
    known = (number for name, number in _known("month").items() if name.startswith(bare))
    return next(known, 0) if len(bare) > 2 else 0


@cache
def _known(what: str) -> dict[str, int]:
    """Names of months or weekdays -> which of them."""
    rows = tomllib.loads(FILE.read_text(encoding="utf-8"))[what]
    return {plain(name): number for number, names in enumerate(rows, start=1) for name in names}


def _worded(day: str, month: str, year: str, today: date) -> DayRead:
    if number := month_of(month):
        return _checked(_year(year, today), number, int(day), today)
    return DayRead(fault=f"names no month: “{month}”")


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
    # That one of the two lies ahead makes the other no more likely: it may be a slip of the pen.
    days = [one.day or one.ahead for one in possible]
    if days[0] and days[1] and any(one.day for one in possible):
        return DayRead(either=(days[0], days[1]))
    return next((one for one in possible if one.day or one.ahead), possible[0])


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
        return DayRead(fault="lies in the future", ahead=found)
    return DayRead(found) if year >= 1850 else DayRead(fault="is too long ago to be right")


def order_shown(texts: Iterable[str], today: date) -> str:
    """How the days of a column are written, where one of them shows it: 23/04 has the day first. In
    two minds, or where none shows it: nothing.

    >>> order_shown(["03/04/2019", "23/04/2019"], date(2026, 1, 1))
    'dmy'
    """
    shown = set()
    for text in texts:
        found = NUMBERS.fullmatch(_tidy(text))
        if found and found[2] != "." and (int(found[1]) > 12) != (int(found[3]) > 12):
            shown.add(DAY_FIRST if int(found[1]) > 12 else MONTH_FIRST)
    return shown.pop() if len(shown) == 1 else ""
