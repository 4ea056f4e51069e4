from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q, QuerySet
from django.db.models.functions import Least

from inspections.consequences import nothing_applied, why_still_open
from inspections.models import HalfOfDay, Plan, Record, Task
from inspections.task_dates import too_early
from venue.models import LogLine, Person, Venue
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch

TASKS_AT_ONCE = 1000
HALVES_OF_A_ROUND = (HalfOfDay.MORNING, HalfOfDay.AFTERNOON, "")


@dataclass(frozen=True)
class Stop:
    """One task on a round, with how it stands on that day."""

    task: Task
    # "late", "planned too late", "past its planned day", "due today", "planned", "done", "cancelled"
    standing: str

    @property
    def mark(self) -> str:
        """The standing as one of the states the marks know."""
        known = {"late": "late", "due today": "due", "past its planned day": "due", "done": "done",
                 "planned too late": "due"}  # fmt: skip
        return known.get(
            self.standing, "planned" if self.task.state == Task.State.OPEN else "not judged"
        )

    @property
    def words(self) -> str:
        if self.standing == "late":
            return f"Late: last lawful day was {self.task.last_lawful_on:%-d %b %Y}"
        if self.standing == "planned too late":
            planned = f"{self.task.planned_on:%-d %b %Y}"
            return f"Planned for {planned}, after its last lawful day, {self.task.last_lawful_on:%-d %b %Y}"
        if self.standing == "past its planned day":
            return f"Planned for {self.task.planned_on:%-d %b}, lawful until {self.task.last_lawful_on:%-d %b}"
        return f"Lawful until {self.task.last_lawful_on:%-d %b %Y}"


def round_of(person: Person, venue: Venue, day: date) -> list[Stop]:
    """The tasks planned for today or before that are theirs, nobody's, or which they help with: in
    walking order within each half of today, and within what has no half of it."""
    tasks = (
        open_tasks(venue)
        .filter(theirs(person) | Q(person=None), planned_on__lte=day)
        .order_by("equipment__place__walking_order", "equipment__walking_order", "planned_on", "pk")
    )
    stops = [Stop(task, standing_of_task(task, day)) for task in tasks]
    return sorted(stops, key=lambda stop: HALVES_OF_A_ROUND.index(half_on(stop.task, day)))


def half_on(task: Task, day: date) -> str:
    """The half of this very day for which it is planned, or nothing."""
    return task.half if task.planned_on == day else ""


def theirs(person: Person) -> Q:
    """What a person was given, and what they help with."""
    helped = Task.helpers.through.objects.filter(person=person)
    return Q(person=person) | Q(pk__in=helped.values("task"))


def standing_of_task(task: Task, day: date) -> str:
    """Computed when it is read: late is shown as late the moment it is."""
    if task.state != Task.State.OPEN:
        return task.state
    if task.last_lawful_on < day:
        return "late"
    if task.planned_on > task.last_lawful_on:
        return "planned too late"
    if task.planned_on < day:
        return "past its planned day"
    return "due today" if task.planned_on == day else "planned"


def open_tasks(venue: Venue) -> QuerySet[Task]:
    return with_people(Task.objects.filter(venue=venue, state=Task.State.OPEN))


def with_people(rows: QuerySet[Task]) -> QuerySet[Task]:
    """With all that a list says of a task, in two queries."""
    return rows.select_related("plan__version", "equipment__place", "person").prefetch_related(
        "helpers"
    )


def late_tasks(venue: Venue, day: date) -> QuerySet[Task]:
    return open_tasks(venue).filter(last_lawful_on__lt=day).order_by("last_lawful_on", "pk")


def tasks_soon(venue: Venue, day: date, days: int = 14) -> QuerySet[Task]:
    """Open tasks that are not late and are to be done within so many days."""
    rows = open_tasks(venue).filter(to_do_by(day + timedelta(days=days)), last_lawful_on__gte=day)
    return rows.order_by(Least("planned_on", "last_lawful_on"), "half", "pk")


def to_do_by(until: date) -> Q:
    """What is planned until then, and what would be late after it: a day that people agreed may lie
    after the last lawful one, and the task is no less pressing for that."""
    return Q(planned_on__lte=until) | Q(last_lawful_on__lte=until)


@dataclass(frozen=True)
class Attempt:
    """One record made for a task, and why the task is still open after it; empty: it was done."""

    record: Record
    why_open: str
    nothing_applied: bool


def attempts_at(task: Task) -> list[Attempt]:
    """The newest first."""
    records = task.records.defer("body").prefetch_related("answers").order_by("-at")
    return [_attempt(record, task) for record in records]


def why_open_after(record: Record) -> str:
    """Why the task of this record is still open; empty: it is not, or there was none."""
    if record.task is None:
        return ""
    return _attempt(record, record.task).why_open


def done_too_early(task: Task, day: date) -> bool:
    """Too long before its fixed day. An examiner's shorter date may be kept as early as one likes."""
    plan = task.plan
    if plan.shortened:
        return False
    return too_early(plan.counting, plan.early, task.due_on, day)


def shortened_since(plan: Plan, moment: datetime) -> bool:
    """Whether an examiner set a shorter next date after that moment and it still rules. Who looked
    before that did not look because of it."""
    if plan.next_no_later_than is None:
        return False
    lines = LogLine.objects.filter(venue=plan.equipment.venue, did="shorten_date")
    return lines.filter(subject=f"{plan._meta.label_lower} {plan.pk}", at__gt=moment).exists()


def _attempt(record: Record, task: Task) -> Attempt:
    given = [answer.given for answer in record.answers.all()]
    # A task done on that day was closed by it: an examiner's date ruled then, and is gone since.
    early = task.done_on != record.done_on and done_too_early(task, record.done_on)
    why = why_still_open(record.may_sign, given, early)
    return Attempt(record, why, nothing_applied(given))


def task_rows(venue: Venue, day: date, show: str, past: str = "") -> Stretch[Stop]:
    """The list page: "late", "done", or the open ones of the coming so many days."""
    order: tuple[str, ...] = ("planned_on", "half", "pk")
    if show == "late":
        rows, order = late_tasks(venue, day), ("last_lawful_on", "pk")
    elif show == "done":  # by the day for which they were planned, which cancelled ones have too
        closed = Task.objects.filter(venue=venue).exclude(state=Task.State.OPEN)
        rows, order = with_people(closed), ("-planned_on", "-pk")
    else:
        days = int(show) if show.isdecimal() and len(show) < 4 else 90
        rows = open_tasks(venue).filter(to_do_by(day + timedelta(days=days)))
    read = stretch_of(rows, order, past, TASKS_AT_ONCE)
    return Stretch(with_standing(read.rows, day), read.more, read.begun)


def with_standing(tasks: Iterable[Task], day: date) -> list[Stop]:
    return [Stop(task, standing_of_task(task, day)) for task in tasks]
