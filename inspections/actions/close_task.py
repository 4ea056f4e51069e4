"""A submitted record closes its task and moves the plan on. Inside the caller's transaction."""

from __future__ import annotations

from datetime import date, datetime

from inspections.actions.generate_tasks import redate_open_tasks
from inspections.models import Plan, Record, Task
from venue.queries.people import Standing


def close_task(*, task: Task, record: Record, standing: Standing, at: datetime, day: date) -> None:
    """Done counts only when the person was competent for it on the day and nothing was left unseen:
    otherwise the record stands and the task stays open."""
    if not standing.may_sign or record.answers.filter(given="could_not_look").exists():
        return
    plan = Plan.objects.select_for_update().get(pk=task.plan_id)
    target = _next_open(plan) if plan.counting == Plan.Counting.FROM_LAST_DONE else task
    closed = Task.objects.filter(pk=target.pk, state=Task.State.OPEN).update(
        state=Task.State.DONE, done_on=day
    )
    if not closed:
        return  # someone else did it meanwhile: both records are kept
    plan.last_done_on, plan.last_done_number, plan.next_no_later_than = day, target.number, None
    Plan.objects.filter(pk=plan.pk).update(
        last_done_on=day, last_done_number=target.number, next_no_later_than=None
    )
    if plan.counting == Plan.Counting.FROM_LAST_DONE:
        redate_open_tasks(plan, day)


def _next_open(plan: Plan) -> Task:
    # Counted from last done, doing a later one early IS doing the next one.
    first = plan.tasks.filter(state=Task.State.OPEN).order_by("number").first()
    return first or plan.tasks.latest("number")
