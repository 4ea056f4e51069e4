"""A kept plan, judged by the evaluator with everything as it is now."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from inspections.models import PlannedTask, Task, YearPlan
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.house import Task as PureTask
from inspections.queries.agreed_tasks import HALVES, nothing_agreed, slot_of
from inspections.queries.house_of import HouseOf, house_of
from inspections.year_figures import faults_in_words

HALF_DAY = re.compile(r"half-day (\d+)")


@dataclass(frozen=True)
class Checked:
    """The house as it is now, the plan's tasks in it, and what they are worth there."""

    found: HouseOf
    rows: dict[PureTask, PlannedTask]
    judged: Evaluation

    @property
    def faults(self) -> list[str]:
        return faults_in_words(self.found.house, self.judged.faults)

    @property
    def people_elsewhere(self) -> list[str]:
        """Who has work at another venue in the half-days in which something is wrong."""
        faults = " ".join(fault for fault in self.judged.faults if " people" in fault)
        slots = {int(slot) for slot in HALF_DAY.findall(faults)}
        return self.elsewhere_in(slots)

    def elsewhere_in(self, slots: Iterable[int]) -> list[str]:
        """Where that is, and what, is never told."""
        taken = self.found.work_elsewhere.items()
        return [
            f"{key} has work at another venue then."
            for key, work in sorted(taken)
            if work & set(slots)
        ]

    def with_moved(self, row: PlannedTask, slot: int) -> Evaluation:
        """What the plan would be worth with one task in another half-day."""
        key = self.found.keys[row.plan_id]
        others = [task for task, each in self.rows.items() if each.pk != row.pk]
        return evaluate(self.found.house, [*others, PureTask(key, slot)])

    def slot(self, row: PlannedTask) -> int:
        return slot_of(row, self.found.span)


def check_year_plan(year_plan: YearPlan, now: datetime) -> Checked:
    """Tasks of plans that have ended since are told by `ended_since`, not here."""
    found = house_of(year_plan.venue, year_plan.first_day, year_plan.days, now, nothing_agreed())
    keys, rows = found.keys, {}
    for row in rows_of(year_plan):
        if row.plan_id in keys:
            rows[PureTask(keys[row.plan_id], slot_of(row, found.span))] = row
    return Checked(found, rows, evaluate(found.house, rows))


def rows_of(year_plan: YearPlan) -> list[PlannedTask]:
    """The planned tasks with all that their words need, in two queries."""
    planned = year_plan.planned.select_related("plan__version", "equipment", "task__person")
    rows = list(planned.prefetch_related("task__helpers"))
    for row in rows:
        row.plan.equipment = row.equipment
        if row.task:
            row.task.plan = row.plan
    return rows


def slot_at(year_plan: YearPlan, day_number: int, half: str) -> int:
    return 2 * day_number + HALVES.index(PlannedTask.Half(half))


def ended_since(year_plan: YearPlan, keys: Mapping[int, str]) -> list[PlannedTask]:
    """Planned tasks that can no longer be done: their plan has ended, or the task is closed."""
    return [
        row
        for row in rows_of(year_plan)
        if row.plan_id not in keys or (row.task is not None and row.task.state != Task.State.OPEN)
    ]
