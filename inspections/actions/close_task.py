"""A submitted record closes its task and moves the plan on."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.actions.generate_tasks import redate_open_tasks
from inspections.actions.tasks import NeedsReason, TaskNotOpen
from inspections.consequences import nothing_applied, why_still_open
from inspections.models import Plan, Record, Task
from inspections.queries.tasks import done_too_early, shortened_since
from venue.actions.log import write_line
from venue.models import Person
from venue.person_references import TextAbout
from venue.queries.people import LEVELS, Standing, standing_of

CONFIRMS = "competent_person"  # the least who may say that a whole check does not apply


class CannotConfirm(ValueError):
    """Says why this person, or this record, does not close the task."""


def close_task(
    *, task: Task, record: Record, standing: Standing, looked_at: datetime, day: date
) -> None:
    """Done counts only when the person was competent for it on the day, something was looked at and
    nothing was left unseen, not too long before a fixed day, and not before an examiner shortened
    the date: otherwise the record stands and the task stays open. Inside the caller's transaction."""
    given = list(record.answers.values_list("given", flat=True))
    if why_still_open(standing.may_sign, given, done_too_early(task, day)):
        return
    if not shortened_since(task.plan, looked_at):
        _done(task, day)


def confirm_nothing_applies(*, task: Task, why: str, by: Person, at: datetime) -> None:
    """A competent person closes a task of whose last record every answer is "not applicable"."""
    record = task.records.order_by("-at").first()
    if record is None or not nothing_applied(record.answers.values_list("given", flat=True)):
        raise CannotConfirm("The last record of this task does not say that nothing applies.")
    if done_too_early(task, record.done_on):
        raise CannotConfirm(
            f"It was looked at on {record.done_on:%-d %b %Y}, too early for the fixed day."
        )
    if shortened_since(task.plan, record.at):
        raise CannotConfirm("An examiner has asked for an earlier check since: look again first.")
    if not why.strip():
        raise NeedsReason("Say why nothing of this check applies here; the task is closed on it.")
    needed = max(task.plan.level, CONFIRMS, key=LEVELS.index)
    standing = standing_of(by, task.venue, needed, at.astimezone(task.venue.zone).date())
    if not standing.may_sign:
        raise CannotConfirm(f"You cannot confirm this: {standing.words}.")
    after = {
        "state": Task.State.DONE, "done_on": record.done_on, "closed_why": why.strip(),
        "record": str(record.pk), "competence": TextAbout(standing.words, by),
    }  # fmt: skip
    with transaction.atomic():
        closed = _done(task, record.done_on, why.strip())
        if closed is None:
            raise TaskNotOpen("This task is no longer open: someone has closed it meanwhile.")
        write_line(
            venue=task.venue, by=by, at=at, did="confirm_nothing_applies", subject=closed,
            before={"state": Task.State.OPEN}, after=after,
        )  # fmt: skip


def _done(task: Task, day: date, why: str = "") -> Task | None:
    """The task that counts as done, or None where it is no longer open."""
    plan = Plan.objects.select_for_update().get(pk=task.plan_id)
    if not Task.objects.filter(pk=task.pk, state=Task.State.OPEN).exists():
        return None  # someone else did it meanwhile: both records are kept, no other task is closed
    target = _next_open(plan) if plan.counting == Plan.Counting.FROM_LAST_DONE else task
    closed = Task.objects.filter(pk=target.pk, state=Task.State.OPEN).update(
        state=Task.State.DONE, done_on=day, closed_why=why
    )
    if not closed:
        return None
    plan.last_done_on, plan.last_done_number, plan.next_no_later_than = day, target.number, None
    Plan.objects.filter(pk=plan.pk).update(
        last_done_on=day, last_done_number=target.number, next_no_later_than=None
    )
    if plan.counting == Plan.Counting.FROM_LAST_DONE:
        redate_open_tasks(plan, day)
    return target


def _next_open(plan: Plan) -> Task:
    # Counted from last done, doing a later one early IS doing the next one.
    first = plan.tasks.filter(state=Task.State.OPEN).order_by("number").first()
    return first or plan.tasks.latest("number")
