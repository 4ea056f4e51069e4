"""What was due or done on equipment in some days: done, late, missed, put off, not looked at."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from django.db.models import Q

from inspections.models import Order, Record, Task
from inspections.reports.matter import CheckDone, Fact, NextDate
from inspections.reports.record_reading import answers_of, undecided_of
from venue.models import Equipment


def records_between(equipment: Sequence[Equipment], start: date, end: date) -> list[Record]:
    rows = Record.objects.filter(equipment__in=equipment, done_on__range=(start, end))
    return list(
        rows.select_related("version", "task", "by")
        .prefetch_related("amended_by")
        .defer("body")
        .order_by("done_on", "at", "pk")
    )


def tasks_not_done(
    equipment: Sequence[Equipment], start: date, end: date, today: date
) -> list[Task]:
    """Due by the end and not done by then: late, put off or cancelled. What is not due yet when the
    report is made is no omission."""
    due = Q(last_lawful_on__range=(start, min(end, today)))
    older = Q(last_lawful_on__lt=start) & (Q(state=Task.State.OPEN) | Q(done_on__gt=end))
    rows = Task.objects.filter(equipment__in=equipment).filter(due | older)
    rows = rows.exclude(state=Task.State.DONE, done_on__lte=end)
    return list(rows.select_related("plan__version").order_by("due_on", "pk"))


def not_decided(records: Iterable[Record]) -> dict[object, tuple[str, ...]]:
    """By record: what could not be looked at, with the reason, and what no rule could decide, with
    the datum that was missing; as the record was frozen."""
    rows = Record.objects.filter(pk__in=[row.pk for row in records]).values_list("pk", "body")
    return {
        pk: undecided_of(answers_of(json.loads(body), {}))
        for pk, body in rows.iterator(chunk_size=50)
    }


def told_once(lines: Iterable[tuple[date, str]]) -> tuple[str, ...]:
    """What was the same on several days stands once, with the last of them.

    >>> told_once([(date(2026, 3, 1), "Seen not."), (date(2026, 4, 1), "Seen not.")])
    ('Seen not. (2 times, last on 1 April 2026)',)
    """
    days: dict[str, list[date]] = defaultdict(list)
    for day, line in lines:
        days[line].append(day)
    return tuple(
        f"{line} ({f'{len(on)} times, last on ' if len(on) > 1 else ''}{max(on):%-d %B %Y})"
        for line, on in days.items()
    )


def check_done(record: Record, missed: Sequence[str] = ()) -> CheckDone:
    later = ["amended by a later record"] if record.amended_by.all() else []
    unsigned = [] if record.may_sign else ["done without a competence that covers it"]
    open_words = [f"{len(missed)} not looked at or not decided, see below"] if missed else []
    return CheckDone(
        check=record.version.title, due_on=record.task.due_on.isoformat() if record.task else "",
        done_on=record.done_on.isoformat(), by=record.by_name, state=record.state,
        note="; ".join([*unsigned, *open_words, *later]), record=str(record.pk),
        record_sha256=record.sha256, not_done=False,
    )  # fmt: skip


def check_missed(task: Task, today: date) -> CheckDone:
    return CheckDone(
        check=task.plan.version.title, due_on=task.due_on.isoformat(),
        done_on=task.done_on.isoformat() if task.done_on else "", by="", state="not judged",
        note=_why_not(task, today), record="", record_sha256="", not_done=True,
    )  # fmt: skip


def _why_not(task: Task, today: date) -> str:
    if task.state == Task.State.CANCELLED:
        return f"Cancelled: {task.closed_why or 'no reason was given'}"
    late = f"Not done; lawful until {task.last_lawful_on:%-d %B %Y}"
    if task.done_on:
        late = f"Done only on {task.done_on:%-d %B %Y}, after these days"
    reason = (
        f". Put off: {task.deferred_why}" if task.deferred_why else ". No reason is in the book"
    )
    return late + reason


def next_dates(equipment: Sequence[Equipment], today: date) -> dict[int, list[NextDate]]:
    """By equipment: the next open task of each running plan."""
    rows = Task.objects.filter(equipment__in=equipment, state=Task.State.OPEN)
    rows = rows.filter(plan__ended_on__isnull=True).select_related("plan__version")
    found: dict[int, dict[int, NextDate]] = defaultdict(dict)
    for task in rows.order_by("number"):
        late = task.last_lawful_on < today
        found[task.equipment_id].setdefault(
            task.plan_id,
            NextDate(task.plan.version.title, task.due_on.isoformat(),
                     task.last_lawful_on.isoformat(), late),
        )  # fmt: skip
    return {
        pk: sorted(each.values(), key=lambda one: one.last_lawful_on) for pk, each in found.items()
    }


def body_answers(record: Record) -> list[dict]:
    """The answers as they were frozen."""
    return json.loads(record.body)["answers"]


def orders_fact(equipment: Equipment) -> Fact:
    """What keeps the equipment from use when the report is made: never left to another page."""
    rows = Order.objects.filter(equipment=equipment, returned__isnull=True).order_by(
        "bites_on", "pk"
    )
    told = [f"{order.what_begins} from {order.bites_on:%-d %B %Y}: {order.why}" for order in rows]
    return Fact("Orders on it now", "\n".join(told) or "None when this report was made")
