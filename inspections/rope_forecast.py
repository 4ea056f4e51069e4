"""When a rope's readings would meet a limit if they went on as they did. Pure.

A straight line from an earlier reading through the last one, drawn on to the limit; of all earlier
readings the steepest line rules, so the day is the earliest that the readings allow. It is a hint to
order a rope, never a reason to keep one: wear quickens, and a rope may be damaged in a moment.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

NUMBER = re.compile(r"(-?\d+(?:\.\d+)?)( [a-z%]+)?")
FURTHEST = 10 * 365


@dataclass(frozen=True)
class Seen:
    """One criterion applied to one rope on one day, with value and limit as they were told."""

    criterion: str
    day: date
    value: str
    limit: str


@dataclass(frozen=True)
class Nearing:
    """The earliest day at which a criterion would be met, and by which figures that is told."""

    day: date
    criterion: str
    value: str
    limit: str


def figure(text: str) -> tuple[Fraction, str] | None:
    """A plain number with its unit; ranges and words say nothing here.

    >>> figure("2.98 %"), figure("6"), figure("between 0 and 33.3 %"), figure("-0.25 %")
    ((Fraction(149, 50), '%'), (Fraction(6, 1), ''), None, (Fraction(-1, 4), '%'))
    """
    found = NUMBER.fullmatch(text)
    return (Fraction(found[1]), (found[2] or "").strip()) if found else None


def line_meets(points: Sequence[tuple[date, Fraction]], limit: Fraction) -> date | None:
    """The earliest day at which a line through an earlier point and the last one is at the limit.

    >>> a, b = (date(2026, 1, 1), Fraction(2)), (date(2026, 1, 31), Fraction(4))
    >>> line_meets([a, b], Fraction(6)), line_meets([b], Fraction(6)), line_meets([a, b], Fraction(3))
    (datetime.date(2026, 3, 2), None, datetime.date(2026, 1, 31))
    """
    last_day, last = points[-1]
    slopes = [(last - value) / (last_day - day).days for day, value in points if day < last_day]
    if last >= limit:
        return last_day
    steepest = max(slopes, default=Fraction(0))
    if steepest <= 0:
        return None
    days = (limit - last) // steepest  # to the whole day before: the safe side
    return last_day + timedelta(days=int(days)) if days <= FURTHEST else None


def nearing(seen: Iterable[Seen]) -> Nearing | None:
    """The criterion that one rope would meet first."""
    by_criterion: dict[tuple[str, str], list[Seen]] = {}
    for each in sorted(seen, key=lambda one: one.day):
        by_criterion.setdefault((each.criterion, each.limit), []).append(each)
    found = [one for rows in by_criterion.values() if (one := _nearing(rows))]
    return min(found, key=lambda one: one.day, default=None)


def can_be_told(seen: Iterable[Seen]) -> bool:
    """Whether any criterion has figures of two days."""
    days: dict[tuple[str, str], set[date]] = {}
    for each in seen:
        if figure(each.value) and figure(each.limit):
            days.setdefault((each.criterion, each.limit), set()).add(each.day)
    return any(len(each) > 1 for each in days.values())


def _nearing(rows: list[Seen]) -> Nearing | None:
    limit = figure(rows[-1].limit)
    told = [(row.day, read) for row in rows if (read := figure(row.value))]
    if limit is None or not told or any(unit != limit[1] for _, (_, unit) in told):
        return None
    day = line_meets([(day, value) for day, (value, _) in told], limit[0])
    last = rows[-1]
    return Nearing(day, last.criterion, last.value, last.limit) if day else None
