"""An examiner's shorter next date: it then rules until that task is done. Never a longer one."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.calendar_rules import shift_back
from inspections.models import Plan, Task
from venue.actions.log import write_line
from venue.models import Person


class DateRefused(ValueError):
    """Says why this date cannot rule."""


def shorten_date(*, plan: Plan, no_later_than: date, why: str, by: Person, at: datetime) -> None:
    """The next task of the plan is due, and lawful, no later than that day. The same form sent
    twice changes nothing."""
    venue = plan.equipment.venue
    today = at.astimezone(venue.zone).date()
    with transaction.atomic():
        plan = Plan.objects.select_for_update().get(pk=plan.pk)
        if plan.next_no_later_than == no_later_than:
            return
        task = next_open_task(plan)
        _refuse(plan, task, no_later_than, why, today)
        assert task is not None
        before = _dates(task) | {"no_later_than": plan.next_no_later_than}
        _set_dates(plan, task, no_later_than, today)
        after = _dates(task) | {"no_later_than": no_later_than, "why": why.strip()}
        write_line(
            venue=venue, by=by, at=at, did="shorten_date", subject=plan, before=before, after=after
        )


def next_open_task(plan: Plan) -> Task | None:
    return plan.tasks.filter(state=Task.State.OPEN).order_by("number").first()


def _refuse(plan: Plan, task: Task | None, day: date, why: str, today: date) -> None:
    if plan.ended_on or task is None:
        raise DateRefused("No task of this plan is open, so there is no next date to make earlier.")
    if day < today:
        raise DateRefused(
            f"{day:%-d %B %Y} has passed. If it must not be used until it is examined, take it out "
            "of service."
        )
    if day >= task.last_lawful_on:
        raise DateRefused(
            f"It is due by {task.last_lawful_on:%-d %B %Y} already. An earlier date may be set here, "
            "never a later one."
        )
    if not why.strip():
        raise DateRefused("Say why: what was seen that cannot wait for the usual interval.")


def _dates(task: Task) -> dict[str, date | str]:
    return {
        "due_on": task.due_on, "planned_on": task.planned_on,
        "last_lawful_on": task.last_lawful_on, "half": task.half,
    }  # fmt: skip


def _set_dates(plan: Plan, task: Task, day: date, today: date) -> None:
    task.due_on, task.last_lawful_on = min(task.due_on, day), day
    if task.planned_on > day:
        # Also a day that people had agreed: it would be too late now.
        task.planned_on = max(shift_back(day, plan.planned_before), today)
        task.day_agreed, task.half = False, ""
        task.day_from = None
    Plan.objects.filter(pk=plan.pk).update(next_no_later_than=day)
    Task.objects.filter(pk=task.pk).update(
        day_agreed=task.day_agreed, day_from=task.day_from, **_dates(task)
    )
