"""From where a plan that is made for the first time takes its start. Pure.

A list that says when a thing was last looked at does not say at what: its day may stand for a regime
that comes round within a year, and for a rarer one only where a person says so. It is no record.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inspections.calendar_rules import Interval, due_date, read_interval

LONGEST_MEANT = "P1Y"


@dataclass(frozen=True)
class FirstStart:
    """`late`: a turn that should have been by now was missed, as far as the list tells."""

    due_on: date
    late: bool = False


def usually_meant(interval: str) -> bool:
    """Whether the last look of a list may be taken for one of this regime, unless somebody says no.

    >>> usually_meant("P6M"), usually_meant("P12M"), usually_meant("P1Y"), usually_meant("P4Y")
    (True, True, True, False)
    """
    return _days(read_interval(interval)) <= _days(read_interval(LONGEST_MEANT))


def unknown_start(interval: str, first_by: date, today: date) -> FirstStart:
    """Nobody knows when it was last done: by the day that is said, or after one interval where that
    is sooner."""
    return FirstStart(min(first_by, due_date(today, interval, 1)))


def listed_start(last: date, interval: str, slack: str, today: date) -> FirstStart:
    """One interval after the day of the list. Where turns were missed, the last of these: late, and
    once instead of once for each of them.

    >>> listed_start(date(2026, 3, 3), "P1Y", "P0D", date(2026, 11, 26))
    FirstStart(due_on=datetime.date(2027, 3, 3), late=False)
    >>> listed_start(date(2020, 3, 3), "P1Y", "P0D", date(2026, 11, 26))
    FirstStart(due_on=datetime.date(2026, 3, 3), late=True)
    """
    turn = 1
    if _lawful_until(last, interval, slack, turn) >= today:
        return FirstStart(due_date(last, interval, turn))
    # From a turn that is missed for sure: no step is longer than 31 days a month.
    turn = max(1, (today - last).days // _longest_days(read_interval(interval)) - 2)
    turn = turn if _lawful_until(last, interval, slack, turn) < today else 1
    while _lawful_until(last, interval, slack, turn + 1) < today:
        turn += 1
    return FirstStart(due_date(last, interval, turn), late=True)


def _lawful_until(last: date, interval: str, slack: str, turn: int) -> date:
    due = due_date(last, interval, turn)
    return due_date(due, slack, 1) if slack else due


def _longest_days(step: Interval) -> int:
    return step.days + 31 * step.months


def _days(step: Interval) -> int:
    return step.days + 30 * step.months
