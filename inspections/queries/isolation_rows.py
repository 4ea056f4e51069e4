"""Isolations, and what else a published year plan asks to be made ready, as they go into a bundle.

What was planned is in the log, and what came of the task is in the book. When something was in
fact isolated and when it was restored, nobody is asked to write down but in the answers of the
check: the table says so in every row.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from inspections.models import PlannedTask, Record, Task, YearPlan
from inspections.queries.made_ready import (
    Isolation,
    isolations,
    isolations_of,
    letters_asked_for,
    published_before_there_were_any,
)
from venue.models import Venue

if TYPE_CHECKING:
    from inspections.queries.evidence import Span

HEADING = (
    "isolation", "year plan", "published at", "log line", "what", "in words", "kind", "day",
    "half-day", "equipment", "regime slug", "days of notice", "notice to be sent by",
    "letter of notice asked for", "task", "standing", "done on", "records", "made at", "ended at",
)  # fmt: skip
NOT_RECORDED = "not recorded"
PLANNED, REPLACED = "planned", "another plan took its place"
DONE, UNKNOWN = "the task was done", "its day passed and no task is known"


def isolation_rows(span: Span, today: date) -> Iterator[Sequence[Any]]:
    letters, plans = letters_asked_for(span.venue), _plans(span.venue)
    found = list(isolations_of(span))
    tasks = _tasks(span.venue, found)
    records = _records(tasks.values())
    for each in found:
        task = tasks.get(each.planned)
        yield (
            each.key, each.year_plan, each.published_at, each.log_line, each.what, each.words,
            each.kind, each.day, each.half, each.tag, each.regime, each.notice_days, each.send_by,
            letters.get((each.year_plan, each.what, each.day), ""), task.pk if task else "",
            _standing(each, task, plans, today), task.done_on if task else "",
            " ".join(records[task.pk]) if task else "", NOT_RECORDED, NOT_RECORDED,
        )  # fmt: skip


def count_isolations(span: Span) -> int:
    return sum(1 for _ in isolations_of(span))


def count_all_isolations(venue: Venue) -> int:
    return sum(1 for _ in isolations(venue))


def not_recorded_of_isolations(venue: Venue) -> list[str]:
    """Sentences for the statement of completeness."""
    said = [
        "isolations: only what a published year plan asks for is told. When something was in fact "
        "isolated, locked or switched off, by whom, and when it was restored, is recorded nowhere "
        "but in the answers of the check, where it asks for that.",
        "isolations: of a letter of notice it is recorded when it was asked for, not whether it "
        "was sent.",
        "isolations: outside of a year plan none is recorded.",
    ]
    if older := published_before_there_were_any(venue):
        said.append(
            f"isolations: of {older} year plans, published before the log told of it, nothing is "
            "known."
        )
    return said


def _tasks(venue: Venue, found: Iterable[Isolation]) -> dict[int, Task]:
    """The dated task that each planned one stands for, by the number of the planned one."""
    rows = PlannedTask.objects.in_venue(venue).filter(task__isnull=False)
    wanted = {each.year_plan for each in found}
    rows = rows.filter(year_plan__in=wanted).select_related("task")
    return {row.pk: row.task for row in rows if row.task}


def _records(tasks: Iterable[Task]) -> dict[int, list[str]]:
    found = defaultdict[int, list[str]](list)
    done = [task.pk for task in tasks if task.state == Task.State.DONE]
    rows = Record.objects.filter(task__in=done).order_by("at", "pk")
    for pk, task in rows.values_list("pk", "task"):
        found[task].append(str(pk))
    return found


def _plans(venue: Venue) -> list[YearPlan]:
    rows = YearPlan.objects.in_venue(venue).filter(published_at__isnull=False)
    return list(rows.select_related("venue").defer("outcome", "assumptions", "unknowns"))


def _standing(each: Isolation, task: Task | None, plans: list[YearPlan], today: date) -> str:
    if task is not None and task.state == Task.State.DONE:
        return DONE  # whatever was planned afterwards
    if _replaced(each, plans):
        return REPLACED
    if task is None:
        return PLANNED if each.day >= today else UNKNOWN
    if task.state == Task.State.OPEN and each.day >= today:
        return PLANNED
    return {
        Task.State.OPEN: "its day passed and the task is open",
        Task.State.CANCELLED: "the task was cancelled",
    }[Task.State(task.state)]


def _replaced(each: Isolation, plans: list[YearPlan]) -> bool:
    """Whether a plan that was published later, and not after that day, plans the same day."""
    published = datetime.fromisoformat(each.published_at)
    return any(
        plan.published_at is not None
        and plan.pk != each.year_plan
        and published < plan.published_at
        and plan.published_at.astimezone(plan.venue.zone).date() <= each.day
        and plan.first_day <= each.day <= plan.last_day
        for plan in plans
    )
