"""From where a plan that is made for the first time takes its start. Pure.

A list that says when a thing was last looked at does not say at what: its day may stand for what a
trained user looks at, or what comes round within a month, and for an examination only where a person
says so: a glance would put it off. It is no record.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inspections.calendar_rules import Interval, due_date, read_interval

LONGEST_MEANT, LONGEST_OF_EXAMINERS = "P1Y", "P1M"
TRAINED_USER = "trained_user"


@dataclass(frozen=True)
class FirstStart:
    """`missed`: how many turns should have been by now and were not, as far as the list tells;
    `no_later_than`: of more than one, the last lawful day of the first, on which it became late."""

    due_on: date
    missed: int = 0
    no_later_than: date | None = None

    @property
    def late(self) -> bool:
        return self.missed > 0


def usually_meant(interval: str, level: str) -> bool:
    """Whether the last look of a list may be taken for one of this regime, unless somebody says no.

    >>> usually_meant("P1Y", "trained_user"), usually_meant("P4Y", "trained_user")
    (True, False)
    >>> usually_meant("P1M", "competent_person"), usually_meant("P3M", "competent_person")
    (True, False)
    """
    longest = LONGEST_MEANT if level == TRAINED_USER else LONGEST_OF_EXAMINERS
    return _days(read_interval(interval)) <= _days(read_interval(longest))


def unknown_start(interval: str, first_by: date, today: date) -> FirstStart:
    """Nobody knows when it was last done: by the day that is said, or after one interval where that
    is sooner."""
    return FirstStart(min(first_by, due_date(today, interval, 1)))


def listed_start(last: date, interval: str, slack: str, today: date) -> FirstStart:
    """One interval after the day of the list. Where turns were missed, the last of these: late once
    instead of once for each of them, and late since the first.

    >>> listed_start(date(2026, 3, 3), "P1Y", "P0D", date(2026, 11, 26))
    FirstStart(due_on=datetime.date(2027, 3, 3), missed=0, no_later_than=None)
    >>> listed_start(date(2020, 3, 3), "P1Y", "P0D", date(2026, 11, 26))
    FirstStart(due_on=datetime.date(2026, 3, 3), missed=6, no_later_than=datetime.date(2021, 3, 3))
    """
    first = first_lawful_until(last, interval, slack)
    if first >= today:
        return FirstStart(due_date(last, interval, 1))
    turn = _turn_before(last, interval, today)
    turn = turn if _lawful_until(last, interval, slack, turn) < today else 1
    while _lawful_until(last, interval, slack, turn + 1) < today:
        turn += 1
    return FirstStart(due_date(last, interval, turn), turn, first if turn > 1 else None)


def first_lawful_until(last: date, interval: str, slack: str) -> date:
    """The last lawful day of the first turn after the day of the list."""
    return _lawful_until(last, interval, slack, 1)


def turn_due_on(last: date, interval: str, due_on: date) -> int:
    """Which turn after the day of the list falls due on that day.

    >>> turn_due_on(date(2020, 3, 3), "P1Y", date(2026, 3, 3))
    6
    """
    turn = _turn_before(last, interval, due_on)
    while due_date(last, interval, turn) < due_on:
        turn += 1
    return turn


def _turn_before(last: date, interval: str, day: date) -> int:
    """One that falls due before that day for sure, or the first: no month is longer than 31 days."""
    return max(1, (day - last).days // _longest_days(read_interval(interval)) - 2)


def _lawful_until(last: date, interval: str, slack: str, turn: int) -> date:
    due = due_date(last, interval, turn)
    return due_date(due, slack, 1) if slack else due


def _longest_days(step: Interval) -> int:
    return step.days + 31 * step.months


def _days(step: Interval) -> int:
    return step.days + 30 * step.months
