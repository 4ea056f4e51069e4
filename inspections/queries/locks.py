"""Which planned tasks may be locked where they stand, and unlocked.

Of a plan that may change all of them. Of a published one those that the next plan would be free to
move: a lock is a word to that plan, and where it would not be heard it is not offered.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inspections.models import PlannedTask, Task, YearPlan
from inspections.queries.plans_in_force import InForce, plans_in_force


@dataclass(frozen=True)
class Locks:
    """`runs`: the days on which a published plan is in force."""

    plan: YearPlan
    today: date
    runs: tuple[InForce, ...]

    def may(self, planned: PlannedTask) -> bool:
        return not self.refusal(planned)

    def refusal(self, planned: PlannedTask) -> str:
        """Why not, for people; empty: it may. `planned` is a task of this plan."""
        if self.plan.may_change:
            return ""
        if self.plan.state != YearPlan.State.PUBLISHED:
            return "This plan is closed: none of its tasks is locked or unlocked any more."
        return _settled(planned.task, planned.day) or self._over(planned)

    def _over(self, planned: PlannedTask) -> str:
        if planned.day < self.today:
            return "Its day is past, so no plan can keep it there."
        task = planned.task
        gave = task is not None and task.day_from_id == self.plan.pk
        if gave or any(run.days_within(planned.day, planned.day) for run in self.runs):
            return ""
        return "Another plan is in force on that day. Lock the task there."


def _settled(task: Task | None, day: date) -> str:
    """What has become of the dated task, where that decides."""
    if task is None:
        return ""
    if task.state != Task.State.OPEN:
        return "This task is done or cancelled, so there is nothing left to keep."
    if task.day_by_hand:
        return "A person has set the day of this task, and every plan keeps that day."
    return "" if task.planned_on == day else "This task has another day by now."


def locks_of(plan: YearPlan, today: date) -> Locks:
    """In one query, and only of a published plan."""
    published = plan.state == YearPlan.State.PUBLISHED
    runs = plans_in_force(plan.venue) if published else []
    return Locks(plan, today, tuple(run for run in runs if run.plan.pk == plan.pk))
