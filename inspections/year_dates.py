"""The dates of every task of a planned year, along its own chain. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from inspections.planning.chain import next_due
from inspections.planning.house import House, Plan, Task


@dataclass(frozen=True)
class Dated:
    """A task, its place in the row of its plan, and its window in days of the horizon."""

    task: Task
    order: int
    due: int
    last_lawful: int
    late: int


def dated_tasks(house: House, tasks: Iterable[Task]) -> list[Dated]:
    """By half-day. A task done sooner brings the next one forward. Late is counted from the last
    lawful day, even where that lies before the year; the planner counts from its first day."""
    rows: dict[str, list[Task]] = defaultdict(list)
    for task in sorted(set(tasks), key=lambda task: task.slot):
        rows[task.plan].append(task)
    found = [dated for key, row in rows.items() for dated in _along(house, house.plan_of[key], row)]
    return sorted(found, key=lambda dated: (dated.task.slot, dated.task.plan))


def _along(house: House, plan: Plan, row: list[Task]) -> Iterable[Dated]:
    due, lawful = plan.first_due, plan.first_lawful
    for order, task in enumerate(row):
        done = (task.slot + plan.duration - 1) // 2
        if plan.due_days:
            day = plan.due_days[min(order, len(plan.due_days) - 1)]
            due, lawful = day.due, day.last_lawful
        yield Dated(task, order, due, lawful, max(0, done - lawful))
        if not plan.due_days:
            due, lawful = next_due(house, plan, done)
