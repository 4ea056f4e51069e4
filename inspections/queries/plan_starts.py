"""Where each running plan stands when a year plan begins: which task is its next, and by when.

What is planned between today and the first day is taken as done on its planned day; what is
overdue already is not, and is carried into the year as late.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from inspections.calendar_rules import add_interval, read_interval, shift_back
from inspections.models import Plan, Task
from inspections.queries.plan_dates import dates_of
from inspections.task_dates import due_of
from venue.models import Venue

LONG_AGO = date(1970, 1, 1)
SHORTEST_DAYS = 7  # what comes more often belongs to the running of the show


@dataclass
class Start:
    """A plan, its tasks from the first in the year on, and how many before it are taken as done."""

    plan: Plan
    due: date
    last_lawful: date
    number: int  # of its first task in the year
    taken_as_done: int = 0
    open_tasks: list[Task] = field(default_factory=list)
    due_days: list[tuple[date, date, date]] = field(default_factory=list)  # opens, due, lawful


def running_plans(venue: Venue) -> list[Plan]:
    """Dated plans of equipment that is installed."""
    rows = Plan.objects.filter(
        equipment__venue=venue, equipment__standing="installed", ended_on__isnull=True
    ).exclude(interval="")
    related = ("equipment__place", "version", "usual_person", "listed_day")
    return list(rows.select_related(*related).order_by("equipment__walking_order", "pk"))


def too_often(plan: Plan) -> bool:
    step = read_interval(plan.interval)
    return not step.months and step.days < SHORTEST_DAYS


def starts_of(plans: Iterable[Plan], today: date, first_day: date, last_day: date) -> list[Start]:
    tasks: dict[int, list[Task]] = {}
    plans = list(plans)
    rows = Task.objects.filter(plan__in=[plan.pk for plan in plans], state=Task.State.OPEN)
    for task in rows.order_by("plan_id", "number"):
        tasks.setdefault(task.plan_id, []).append(task)
    return [_start(plan, tasks.get(plan.pk, []), today, first_day, last_day) for plan in plans]


def _start(plan: Plan, tasks: list[Task], today: date, first_day: date, last_day: date) -> Start:
    if plan.counting == Plan.Counting.ANCHORED:
        return _anchored(plan, tasks, today, first_day, last_day)
    return _floating(plan, tasks, today, first_day)


def _floating(plan: Plan, tasks: list[Task], today: date, first_day: date) -> Start:
    step, slack = read_interval(plan.interval), read_interval(plan.lawful_slack)
    if tasks:
        due, lawful, number = tasks[0].due_on, tasks[0].last_lawful_on, tasks[0].number
    else:
        number = plan.last_done_number + 1
        due = due_of(dates_of(plan), number)
        lawful = add_interval(due, slack)
    start = Start(plan, due, lawful, number)
    waiting = list(tasks)
    while (done := _done_before(waiting, plan, start, today, first_day)) is not None:
        start.due = add_interval(done, step)
        start.last_lawful = add_interval(start.due, slack)
        start.number, start.taken_as_done = start.number + 1, start.taken_as_done + 1
        waiting = waiting[1:]
    start.open_tasks = waiting
    return start


def _done_before(
    waiting: list[Task], plan: Plan, start: Start, today: date, first_day: date
) -> date | None:
    """The day before the year on which the next task is taken as done; None: it is not."""
    if start.last_lawful < today:
        return None
    planned = shift_back(start.due, plan.planned_before)
    if waiting and (waiting[0].day_agreed or not start.taken_as_done):
        planned = waiting[0].planned_on
    planned = max(planned, today)
    return planned if planned < first_day else None


def _anchored(plan: Plan, tasks: list[Task], today: date, first_day: date, last_day: date) -> Start:
    waiting = [task for task in tasks if not _passes(task, today, first_day)]
    days = [(_opens(plan, t.due_on), t.due_on, t.last_lawful_on) for t in waiting]
    number = tasks[-1].number + 1 if tasks else 1
    if not tasks:
        while due_of(dates_of(plan), number) < first_day:
            number += 1
    slack = read_interval(plan.lawful_slack)
    while (due := due_of(dates_of(plan), number)) <= last_day:
        days.append((_opens(plan, due), due, add_interval(due, slack)))
        number += 1
    first = days[0] if days else (last_day, last_day, last_day)
    begun = waiting[0].number if waiting else number - len(days)
    # A plan without any due day would count from a day it was done, so the next one beyond the
    # span stands for none.
    within = [day for day in days if day[1] <= last_day] or days[:1]
    beyond = [(_opens(plan, due), due, add_interval(due, slack))]
    return Start(
        plan, first[1], first[2], begun, len(tasks) - len(waiting), waiting, within or beyond
    )  # fmt: skip


def _passes(task: Task, today: date, first_day: date) -> bool:
    return task.last_lawful_on >= today and max(task.planned_on, today) < first_day


def _opens(plan: Plan, due: date) -> date:
    if plan.shortened or not plan.early:
        return LONG_AGO
    return shift_back(due, plan.early)


def early_days(plan: Plan) -> int:
    """Days before the due day that cost nothing; a month counts as thirty."""
    step = read_interval(plan.early) if plan.early else read_interval("P0D")
    return step.days + 30 * step.months


def day_number(first_day: date, day: date) -> int:
    return (day - first_day) // timedelta(days=1)
