"""Published tasks that can no longer be done where they are planned: a show came onto the half-day, or
somebody is not there. Publishing judges a plan once; this asks again, every time it is looked at."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.cache import cache
from django.db.models import Max

from inspections.models import PlannedTask, Task, YearPlan
from inspections.move_check import in_the_way
from inspections.planning.house import Task as PureTask
from inspections.queries.agreed_tasks import nothing_agreed, slot_of
from inspections.queries.house_of import HouseOf, house_of
from inspections.queries.plans_in_force import in_force_from, plans_in_force
from inspections.queries.year_board import planned_tasks
from inspections.who_is_there import WhoIsThere
from venue.models import LogLine, Person, Venue

KEPT_FOR = 3600  # seconds: a certificate ends, too, without a line of the log


@dataclass(frozen=True)
class Upset:
    """`lacks`: a sentence on what the half-day lacks. Where it lacks nothing, who of the crew cannot be
    there, each with the reason."""

    planned: PlannedTask
    lacks: str
    absent: tuple[tuple[Person, str], ...] = ()


def upset_tasks_of(year_plan: YearPlan, now: datetime) -> list[Upset]:
    """In the order of the days, from today on, as far as the plan is in force. Nothing of a draft:
    that is judged when it is published."""
    rows = _standing(year_plan, now.astimezone(year_plan.venue.zone).date())
    if not rows:
        return []
    found = house_of(year_plan.venue, year_plan.first_day, year_plan.days, now, nothing_agreed())
    people = _People(found)
    asked = [_upset(row, found, people) for row in rows if row.plan_id in found.keys]
    return [each for each in asked if each.lacks or each.absent]


def _standing(year_plan: YearPlan, today: date) -> list[PlannedTask]:
    """What is still to be done as this plan says: open, and on the day that it gave."""
    days = {
        each.first + timedelta(days=number)
        for each in plans_in_force(year_plan.venue)
        if each.plan == year_plan
        for number in range((each.last - each.first).days + 1)
    }
    if not days or max(days) < today:
        return []
    among = year_plan.planned.filter(day__gte=max(today, min(days)), day__lte=max(days))
    rows = planned_tasks(among).prefetch_related("task__helpers")
    return [row for row in rows if row.day in days and _as_given(row)]


def _as_given(row: PlannedTask) -> bool:
    task = row.task
    return task is None or (task.state == Task.State.OPEN and task.planned_on == row.day)


def _upset(row: PlannedTask, found: HouseOf, people: _People) -> Upset:
    task = PureTask(found.keys[row.plan_id], slot_of(row, found.span))
    lacks = in_the_way(found.house, task, task.slot)
    return Upset(row, lacks, () if lacks else tuple(people.absent(row, task)))


class _People:
    """Who is there, by the rows."""

    def __init__(self, found: HouseOf) -> None:
        self.there = WhoIsThere(found.house, found.work_elsewhere)
        self.keys = {person.pk: key for key, person in found.people.items()}

    def absent(self, row: PlannedTask, task: PureTask) -> Iterator[tuple[Person, str]]:
        """Whoever the plan gave it to, has it still, and is not there or not competent any more."""
        needs = self.there.house.plan_of[task.plan].needs
        for part in row.crew.all():
            key = self.keys.get(part.person_id, "")
            if _has_it(part.person_id, row.task) and (why := self.there.why_not(key, task, needs)):
                yield part.person, why


def _has_it(person: int, task: Task | None) -> bool:
    return task is None or person in {task.person_id, *(each.pk for each in task.helpers.all())}


@dataclass(frozen=True)
class UpsetPlan:
    """A plan in force and how many of its tasks have lost their half-day."""

    plan: YearPlan
    number: int


def upset_plans(venue: Venue, now: datetime) -> list[UpsetPlan]:
    """Of every plan in force from today on. Worked out once after each line of any log, as whatever
    may upset a plan is written there; until then it is kept."""
    today = now.astimezone(venue.zone).date()
    force = in_force_from(plans_in_force(venue), today)
    if not force:
        return []
    last_line = LogLine.objects.aggregate(last=Max("pk"))["last"]
    key = f"upset-{venue.pk}-{today}-{last_line}"
    plans = YearPlan.objects.filter(pk__in=force).select_related("venue").order_by("first_day")
    numbers = cache.get(key)
    if numbers is None:
        numbers = {plan.pk: len(upset_tasks_of(plan, now)) for plan in plans}
        cache.set(key, numbers, KEPT_FOR)
    return [UpsetPlan(plan, numbers[plan.pk]) for plan in plans if numbers.get(plan.pk)]
