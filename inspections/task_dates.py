"""The dates of a plan's tasks. Pure. Rules in words: `inspections.calendar_rules`.

Counting from the last day done: task n+1 falls one interval after that day, later ones follow on.
Counting from a fixed day: task n falls n-1 intervals after the anchor, always from the anchor.
An examiner's shorter next date caps the next task of either kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inspections.calendar_rules import due_date, shift_back

HORIZON_MONTHS = 15


@dataclass(frozen=True)
class PlanDates:
    """What the dates of a plan depend on. `last_done_number` is 0 until the first is done."""

    interval: str
    counting: str
    anchor: date
    last_done_on: date | None
    last_done_number: int
    lawful_slack: str
    planned_before: str
    next_no_later_than: date | None = None


@dataclass(frozen=True)
class TaskDates:
    number: int
    due_on: date
    planned_on: date
    last_lawful_on: date


def task_dates(plan: PlanDates, today: date) -> list[TaskDates]:
    """The tasks after the last one done, up to 15 months from today, at least one."""
    until = due_date(today, f"P{HORIZON_MONTHS}M", 1)
    number = plan.last_done_number + 1 if plan.counting == "from_last_done" else 1
    dates = [_dated(plan, number, today)]
    while dates[-1].due_on <= until:
        number += 1
        dates.append(_dated(plan, number, today))
    return dates if len(dates) == 1 else dates[:-1]


def due_of(plan: PlanDates, number: int) -> date:
    """The due day of task `number`, before any examiner's cap."""
    if plan.counting == "from_last_done" and plan.last_done_on:
        # Always from the day it was last done: 31 January gives 31 March after 28 February.
        return due_date(plan.last_done_on, plan.interval, number - plan.last_done_number)
    return due_date(plan.anchor, plan.interval, number - 1)


def _dated(plan: PlanDates, number: int, today: date) -> TaskDates:
    due = due_of(plan, number)
    last_lawful = due_date(due, plan.lawful_slack, 1) if plan.lawful_slack else due
    cap = plan.next_no_later_than
    if cap and number == plan.last_done_number + 1:
        due, last_lawful = min(due, cap), min(last_lawful, cap)
    planned = shift_back(due, plan.planned_before)
    # Not planned into the past while there is still lawful time left.
    if last_lawful >= today:
        planned = min(max(planned, today), last_lawful)
    return TaskDates(number, due, planned, last_lawful)


def too_early(counting: str, early: str, due_on: date, day: date) -> bool:
    """Whether a check on that day is too far before the due day to be the one that falls due then.
    Counted from the last day done it never is: the next one moves with it.

    >>> too_early("anchored", "P7D", date(2027, 5, 31), date(2027, 5, 23))
    True
    >>> too_early("anchored", "P7D", date(2027, 5, 31), date(2027, 5, 24))
    False
    """
    return counting == "anchored" and bool(early) and day < shift_back(due_on, early)


def first_due(last_done_on: date | None, interval: str, today: date) -> date:
    """The first due day of a new plan: one interval after it was last done; unknown means today."""
    return due_date(last_done_on, interval, 1) if last_done_on else today
