"""Live through the days of the history, one after the other: on each working day do the checks
that are due and that the season makes possible. The log comes out in the order of time."""

from __future__ import annotations

import heapq
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import partial
from itertools import count

from django.db import connection
from django.db.models import Q

from inspections.demo.checks import Span, carry_out
from inspections.demo.cures import give_back, remedy
from inspections.demo.stories import FAULTS, OVERDUE, Cure, Fault
from inspections.models import Finding, Task
from venue.kind_files import kinds
from venue.models import Equipment, Person, Venue

Deed = Callable[..., object]
# Made by whoever does the check, on the spot, and not by the season.
MADE_ON_THE_SPOT = frozenset({"detector_isolated", "battens_stripped", "power_off"})
VISITS = (2, 5, 8, 11)  # the months in which the outside examiner comes
MOST_A_DAY, MOST_ON_A_VISIT = 14, 16
FORGOTTEN = 0.05  # the share of checks that somebody did not get round to that day
FIRST_HOUR, MINUTES = time(8, 30), 260
COUNTED_EVERY = 30  # working days


@dataclass
class Diary:
    """One venue's history while it is written."""

    venue: Venue
    people: dict[str, Person]
    doers: dict[str, tuple[str, ...]]  # level -> who does such checks
    leaves: Callable[[date], frozenset[str]]
    span: Span
    waiting: list[tuple[datetime, int, Deed]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    ticket: count = field(default_factory=count)

    def later(self, at: datetime, deed: Deed) -> None:
        heapq.heappush(self.waiting, (at, next(self.ticket), deed))

    def hour(self, day: date, hour: int, minute: int = 0) -> datetime:
        return datetime.combine(day, time(hour, minute), self.venue.zone)

    def latest_day_for(self, piece: Equipment, days: int) -> date:
        """At least so many days ago, and the season lets somebody work there."""
        needs = needs_at(piece)
        back = (self.days_ago(ago).date() for ago in range(days, 365))
        return next(day for day in back if needs <= self.leaves(day))

    def days_ago(self, days: int, hour: int = 9) -> datetime:
        return self.hour(max(self.span.last - timedelta(days=days), self.span.first), hour)


def live_through(diary: Diary) -> None:
    """Every day of the history, today not included."""
    diary.faults = [fault for fault in FAULTS if diary.venue.slug == "larkspur"]
    days = _working_days(diary)
    for number, day in enumerate(days):
        _happens_until(diary, datetime.combine(day, FIRST_HOUR, diary.venue.zone))
        _work(diary, day, days[number + 1 :])
        if number % COUNTED_EVERY == 0:
            _count_rows()
    _happens_until(diary, diary.hour(diary.span.last, 0))


def _count_rows() -> None:
    """PostgreSQL counts the rows of a table after the transaction that filled it; two years lived in
    one would be asked by way of counts that say there is nothing."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("analyze")


def _happens_until(diary: Diary, moment: datetime) -> None:
    while diary.waiting and diary.waiting[0][0] <= moment:
        at, _, deed = heapq.heappop(diary.waiting)
        deed(at=at)


def _working_days(diary: Diary) -> list[date]:
    length = (diary.span.last - diary.span.first).days
    days = [diary.span.first + timedelta(days=number) for number in range(length)]
    return [day for day in days if diary.leaves(day)]


def _work(diary: Diary, day: date, to_come: list[date]) -> None:
    tasks = _wanted(diary, day, to_come)
    for number, task in enumerate(tasks, 1):
        minutes = MINUTES * number // len(tasks)
        at = datetime.combine(day, FIRST_HOUR, diary.venue.zone) + timedelta(minutes=minutes)
        _check(diary, task, day, at)


def _wanted(diary: Diary, day: date, to_come: list[date]) -> list[Task]:
    """What is planned, or cannot wait for the next day on which it would be possible."""
    here, wanted, visit = diary.leaves(day), [], 0
    for task in _next_of_each_plan(diary.venue, day):
        needs, examiner = needs_of(task), task.plan.level == "outside_examiner"
        if not (needs <= here and (not examiner or _is_visit(day, here))):
            continue
        if task.planned_on > day and task.last_lawful_on >= _next_chance(diary, task, to_come):
            continue
        if _left_undone(task, day):
            continue
        visit += examiner
        if visit <= MOST_ON_A_VISIT or not examiner:
            wanted.append(task)
    return sorted(wanted[: MOST_A_DAY + visit], key=_walk)


def _walk(task: Task) -> tuple[int, int]:
    return task.equipment.place.walking_order, task.equipment.walking_order


def _next_of_each_plan(venue: Venue, day: date) -> list[Task]:
    soon = Q(planned_on__lte=day) | Q(last_lawful_on__lt=day + timedelta(days=35))
    visit = Q(plan__level="outside_examiner", last_lawful_on__lt=day + timedelta(days=95))
    tasks = Task.objects.filter(soon | visit, venue=venue, state=Task.State.OPEN)
    first: dict[int, Task] = {}
    related = ("plan__version", "equipment__place", "equipment__venue")
    for task in tasks.select_related(*related).order_by("last_lawful_on", "number"):
        first.setdefault(task.plan_id, task)
    return list(first.values())


def needs_of(task: Task) -> frozenset[str]:
    """What must be so before the task can be done, beside what its doer sees to."""
    return needs_at(task.equipment)


def needs_at(piece: Equipment) -> frozenset[str]:
    access = (*piece.place.access, *kinds()[piece.kind].access)
    return frozenset(access) - MADE_ON_THE_SPOT


def _is_visit(day: date, here: frozenset[str]) -> bool:
    return day.month in VISITS and "grid_empty" in here


def _next_chance(diary: Diary, task: Task, to_come: list[date]) -> date:
    needs, examiner = needs_of(task), task.plan.level == "outside_examiner"
    for day in to_come:
        here = diary.leaves(day)
        if needs <= here and (not examiner or _is_visit(day, here)):
            return day
    return date.max


def _left_undone(task: Task, day: date) -> bool:
    if (task.equipment.tag, task.plan.regime) == OVERDUE:
        return True
    chance = random.Random(f"{task.equipment.tag} {task.plan.regime} {day}")  # nosec B311 - a demo, not a secret
    return chance.random() < FORGOTTEN


def _check(diary: Diary, task: Task, day: date, at: datetime) -> None:
    fault = _fault_of(diary, task, day)
    who = random.Random(f"{task.equipment.tag} {task.plan.regime} {day} who")  # nosec B311 - a demo, not a secret
    by = diary.people[who.choice(diary.doers[task.plan.level])]
    record = carry_out(task=task, span=diary.span, by=by, at=at, fault=fault)
    if fault:
        diary.faults.remove(fault)
        finding = record.findings.get(answer__check_slug=fault.check)
        if fault.cure:
            put_right_later(diary, finding, fault.cure, at)


def _fault_of(diary: Diary, task: Task, day: date) -> Fault | None:
    ago = (diary.span.last - day).days
    mine = (task.equipment.tag, task.plan.regime)
    return next(
        (
            fault
            for fault in diary.faults
            if (fault.tag, fault.regime) == mine and ago <= fault.days_ago
        ),
        None,
    )


def put_right_later(diary: Diary, finding: Finding, cure: Cure, at: datetime) -> None:
    after = at + timedelta(days=cure.after, hours=5)
    diary.later(after, partial(_remedied, diary, finding, cure))
    if cure.returned_by:
        returned = at + timedelta(days=cure.returned_after, hours=6)
        diary.later(returned, partial(give_back, finding=finding, cure=cure, people=diary.people))


def _remedied(diary: Diary, finding: Finding, cure: Cure, *, at: datetime) -> None:
    remedy(finding=finding, cure=cure, people=diary.people, at=at)
    if cure.new_rope:
        diary.span.look_up_parts(diary.venue)
