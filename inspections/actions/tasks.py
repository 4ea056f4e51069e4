"""Set a task's day, defer it, cancel it, give it to someone. Each with its log line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.db import transaction

from inspections.models import Task, YearPlan
from venue.actions.log import write_line
from venue.models import Person


class TaskNotOpen(ValueError):
    """The task is done or cancelled already."""


class NeedsReason(ValueError):
    """A deferral or cancellation without a reason is refused."""


def change_task(
    *,
    task: Task,
    planned_on: date,
    person: Person | None,
    why: str,
    by: Person,
    at: datetime,
    half: str = "",
    helpers: Sequence[Person] = (),
) -> None:
    """Agree a day, a half of it or none, and who does it with whom. A day put off beyond the last
    lawful date needs a reason, and the task still shows late."""
    if planned_on > task.last_lawful_on and not why.strip():
        raise NeedsReason(
            f"{planned_on} is after the last lawful date, {task.last_lawful_on}. Say why; it will show as late."
        )
    put_off = planned_on > task.planned_on and bool(why.strip())
    fields = {"planned_on": planned_on, "half": half, "day_agreed": True, "person": person}
    if put_off:
        fields["deferred_why"] = why.strip()
    elif task.why_from_id and planned_on != task.planned_on:
        fields["deferred_why"] = ""  # a year plan wrote it, of its own day
    others = [helper for helper in helpers if helper != person]
    did = "defer_task" if put_off else "plan_task"
    _change(task, fields, by, at, did, others, _from_plans(task, fields))


def _from_plans(task: Task, fields: Mapping[str, Any]) -> dict[str, YearPlan | None]:
    """Which year plan still stands behind what a person did not change: `Task.day_from` and others."""
    same_day = fields["planned_on"] == task.planned_on and fields["half"] == task.half
    published = task.day_from is not None and task.day_from.state == YearPlan.State.PUBLISHED
    return {
        "day_from": task.day_from if same_day and published else None,
        "person_from": task.person_from if fields["person"] == task.person else None,
        "why_from": None if "deferred_why" in fields else task.why_from,
    }


def cancel_task(*, task: Task, why: str, by: Person, at: datetime) -> None:
    if not why.strip():
        raise NeedsReason(
            "Say why this task is cancelled; the insurer's export carries the reason."
        )
    _change(task, {"state": Task.State.CANCELLED, "closed_why": why.strip()}, by, at, "cancel_task")


def _change(
    task: Task,
    fields: dict[str, Any],
    by: Person,
    at: datetime,
    did: str,
    helpers: list[Person] | None = None,
    from_plans: Mapping[str, YearPlan | None] | None = None,
) -> None:
    """`helpers`: None leaves them as they are."""
    with transaction.atomic():
        before = {name: getattr(task, name) for name in fields}
        changed = Task.objects.filter(pk=task.pk, state=Task.State.OPEN).update(
            **fields, **(from_plans or {})
        )
        if not changed:
            raise TaskNotOpen(
                "This task is no longer open: someone has done or cancelled it meanwhile."
            )
        after = fields
        if helpers is not None:
            before["helpers"], after = list(task.helpers.all()), fields | {"helpers": helpers}
            write_helpers({task.pk: helpers}, {task.pk: _chosen(task, helpers)})
        write_line(
            venue=task.venue, by=by, at=at, did=did, subject=task, before=before, after=after
        )


def _chosen(task: Task, helpers: list[Person]) -> list[Person]:
    """Whoever was not there before was chosen by a person; whom a plan gave it stays the plan's."""
    before, chosen = set(task.helpers.all()), set(task.chosen_helpers.all())
    return [each for each in helpers if each not in before or each in chosen]


Helpers = Mapping[int, Iterable[Person]]
"""By the key of the task."""


def write_helpers(helpers: Helpers, chosen: Helpers) -> None:
    """These and nobody else, and whom of them a person chose. Inside the caller's transaction."""
    _write(Task.helpers.through, helpers)
    _write(Task.chosen_helpers.through, chosen)


def _write(through: Any, told: Helpers) -> None:
    through.objects.filter(task__in=told).delete()
    through.objects.bulk_create(
        through(task_id=task, person_id=person.pk)
        for task, people in told.items()
        for person in people
    )
