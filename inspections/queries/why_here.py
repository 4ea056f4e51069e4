"""Why a planned task is where it is, and what another half-day would do, judged as things are now."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from inspections.board_grid import HALVES
from inspections.held_half_days import Hold
from inspections.models import PlannedTask
from inspections.move_check import MoveChecked, check_move
from inspections.over_budget import BudgetsKnown
from inspections.planning.house import Task
from inspections.planning.why import Moved, Shared, why_here
from inspections.queries.check_year_plan import Checked, check_year_plan, slot_at
from inspections.queries.held_half_days import half_days_held
from inspections.queries.year_budgets import budgets_known


@dataclass(frozen=True)
class OtherWeek:
    """The nearest half-day about a week away that can be used, and what it would do."""

    day: date
    half: str
    checked: MoveChecked


@dataclass(frozen=True)
class WhyHere:
    """For people. `opens`: from when it costs nothing extra. `changed`: what has become wrong with
    it since the plan was made."""

    opens: date
    due: date
    last_lawful: date
    spare: int
    shared: tuple[Shared, ...]
    earlier: OtherWeek | None
    later: OtherWeek | None
    access: tuple[str, ...]
    hold: Hold
    changed: tuple[str, ...]

    @property
    def spare_words(self) -> str:
        days = "day" if abs(self.spare) == 1 else "days"
        return f"{self.spare} {days} to spare" if self.spare >= 0 else f"{-self.spare} {days} late"


def why_of(planned: PlannedTask, now: datetime) -> WhyHere | None:
    """Nothing where the plan of it has ended since: then nothing can be said any more."""
    checked = check_year_plan(planned.year_plan, now)
    task = task_of(checked, planned)
    if task is None:
        return None
    house, span = checked.found.house, checked.found.span
    why = why_here(house, checked.rows, task)
    done = (task.slot + house.plan_of[task.plan].duration - 1) // 2
    venue = planned.year_plan.venue
    held, budgets = half_days_held(venue, planned.day, planned.day), budgets_known(venue)
    return WhyHere(
        opens=span.first_day + timedelta(days=why.opens),
        due=span.first_day + timedelta(days=why.due),
        last_lawful=span.first_day + timedelta(days=why.last_lawful),
        spare=why.last_lawful - done,
        shared=why.shared,
        earlier=_other_week(checked, task, why.earlier, budgets),
        later=_other_week(checked, task, why.later, budgets),
        access=tuple(sorted(house.plan_of[task.plan].access)),
        hold=held[planned.day, planned.half],
        changed=tuple(fault for fault in checked.faults if task.plan in fault),
    )


def move_checked(planned: PlannedTask, day: date, half: str, now: datetime) -> MoveChecked | None:
    """What the plan would be with the task on another half-day."""
    checked = check_year_plan(planned.year_plan, now)
    task = task_of(checked, planned)
    if task is None:
        return None
    slot = slot_at(planned.year_plan, checked.found.span.number(day), half)
    return _checked(checked, task, slot, budgets_known(planned.year_plan.venue))


def _checked(checked: Checked, task: Task, slot: int, budgets: BudgetsKnown) -> MoveChecked:
    """What is refused anyhow exceeds nothing."""
    house = checked.found.house
    told = check_move(house, checked.rows, task, slot)
    if told.faults and not any("people" in fault for fault in told.faults):
        return told
    if told.faults:
        slots = range(slot, slot + house.plan_of[task.plan].duration)
        return replace(told, words=(*told.words, *checked.elsewhere_in(slots)))
    return replace(told, over=budgets.over(house, checked.rows, task, slot))


def task_of(checked: Checked, planned: PlannedTask) -> Task | None:
    key = checked.found.keys.get(planned.plan_id)
    return Task(key, checked.slot(planned)) if key else None


def _other_week(
    checked: Checked, task: Task, moved: Moved, budgets: BudgetsKnown
) -> OtherWeek | None:
    if moved.slot is None:
        return None
    day = checked.found.span.first_day + timedelta(days=moved.slot // 2)
    told = _checked(checked, task, moved.slot, budgets)
    return OtherWeek(day, HALVES[moved.slot % 2], told)
