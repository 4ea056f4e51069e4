"""A year plan beside the one in force: what moved, what came and went, whose work it is, and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from inspections.models import PlannedTask, YearPlan
from inspections.move_check import check_move, held_by, missing_for, signed_money, unbound
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.house import Task
from inspections.planning.why import window_of
from inspections.planning.wording import day_words
from inspections.queries.agreed_tasks import HALVES
from inspections.queries.check_year_plan import Checked, check_year_plan
from inspections.queries.plans_in_force import plan_replaced_by
from inspections.queries.year_board import planned_tasks
from inspections.year_changes import Pair, Planned, pairs_of

MOST_JUDGED = 60
"""Beyond so many moves that nothing forces, what each is worth is told on its own page only."""
FIGURES = (
    ("late_days", "Days late"), ("visit_days", "Examiner days"), ("set_ups", "Things made ready"),
    ("overtime_h", "Hours of overtime"), ("tasks", "Tasks"),
)  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One line of the list."""

    pair: Pair
    why: str


@dataclass(frozen=True)
class Changes:
    """The newer plan against the older one."""

    before: YearPlan
    after: YearPlan
    changes: list[Change]
    kept: int

    @cached_property
    def counts(self) -> Counter[str]:
        return Counter(change.pair.what for change in self.changes)

    @property
    def changed_people(self) -> int:
        return self.counts["people changed"]

    @property
    def money(self) -> str:
        """How much dearer or cheaper, as it was figured when each was made."""
        costs = [plan.outcome.get("figures", {}).get("cost") for plan in (self.before, self.after)]
        return "not known" if None in costs else signed_money(costs[1] - costs[0])

    @property
    def figures(self) -> list[tuple[str, object, object]]:
        old, new = (plan.outcome.get("figures", {}) for plan in (self.before, self.after))
        return [
            (label, old.get(key, "not known"), new.get(key, "not known")) for key, label in FIGURES
        ]


def changes_of(
    plan: YearPlan, now: datetime, before: YearPlan | None = None, *, sees_money: bool = True
) -> Changes | None:
    """Against the plan in force on most of its days; nothing where there is none, or where it is
    this one."""
    before = before or plan_replaced_by(plan)
    if before is None or before.pk == plan.pk or not plan.made_at:
        return None
    pairs = pairs_of(_planned(before, plan), _planned(plan, before))
    reasons = _Reasons(check_year_plan(plan, now), sees_money)
    changes = [Change(pair, reasons.of(pair)) for pair in pairs if pair.what != "kept"]
    return Changes(before, plan, changes, len(pairs) - len(changes))


def _planned(plan: YearPlan, other: YearPlan) -> Iterator[Planned]:
    """What both plans could hold: the days that they share."""
    first, last = max(plan.first_day, other.first_day), min(plan.last_day, other.last_day)
    for row in planned_tasks(plan.planned.all()).filter(day__gte=first, day__lte=last):
        people = tuple(crew.person.name for crew in row.crew.all())
        title = f"{row.equipment.tag} {row.plan.version.title}"
        yield Planned(
            row.pk, row.plan_id, row.task_id, row.day, row.half, title, people, row.late_days
        )


class _Reasons:
    """Why each change was made, as far as the house tells it now."""

    def __init__(self, checked: Checked, sees_money: bool) -> None:
        self.checked, self.house = checked, checked.found.house
        self.sees_money = sees_money
        self.tasks = {row.pk: task for task, row in checked.rows.items()}
        self.judged = 0

    def of(self, pair: Pair) -> str:
        if pair.what == "moved":
            return self._moved(pair)
        if pair.what == "added":
            return "It falls due within this plan now."
        if pair.what == "dropped":
            return self._dropped(pair)
        return "The hours of that half-day were dealt out again."

    def _dropped(self, pair: Pair) -> str:
        if pair.either.plan not in self.checked.found.keys:
            return "Its plan has ended, or the equipment is no longer installed."
        return "Done, cancelled, or no longer due within this plan."

    def _moved(self, pair: Pair) -> str:
        """What rules its old half-day out now; if nothing does, what it would be worth there."""
        assert pair.before
        assert pair.after
        task = self.tasks.get(pair.after.key)
        if task is None:
            return "Its plan has ended since."
        number = self.checked.found.span.number(pair.before.day)
        old = 2 * number + HALVES.index(PlannedTask.Half(pair.before.half))
        if not 0 <= old < self.house.slots:
            return "The old day lies outside this plan."
        return self._ruled_out(task, old) or self._worth(task, old)

    def _ruled_out(self, task: Task, old: int) -> str:
        if missing := missing_for(self.house, task, old):
            held = held_by(self.house, old)
            return f"{held} now. Missing for it: {missing}." if held else f"Missing now: {missing}."
        _, _, lawful = window_of(self.house, sorted(self.checked.rows), task)
        done = (old + self.house.plan_of[task.plan].duration - 1) // 2
        if done > lawful:
            return (
                f"Its last lawful day is {day_words(self.house, lawful)} now, before the old day."
            )
        return ""

    def _worth(self, task: Task, old: int) -> str:
        self.judged += 1
        if self.judged > MOST_JUDGED:
            return "Its old half-day can still be used; its own page tells what it would be worth."
        told = check_move(self.house, self.checked.rows, task, old, self.now)
        if told.faults:
            return told.faults[0]
        if told.worse:
            return next(words for words in told.words if "late" in words)
        if told.cost > 0 and not self.sees_money:
            return "Nothing rules its old half-day out, but it would be dearer there."
        if told.cost > 0:
            return f"Back on its old half-day: {told.money[-1]}"
        return "Nothing rules its old half-day out; it would be as good there."

    @cached_property
    def now(self) -> Evaluation:
        return evaluate(unbound(self.house), self.checked.rows)
