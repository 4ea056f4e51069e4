"""What a manager does with tasks that are still open: agrees days, puts off, cancels."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from inspections.actions.tasks import cancel_task, change_task
from inspections.demo.scenario import JONAS, MARISOL, PRIYA, TAM
from inspections.demo.season import leaves_accessible
from inspections.demo.stories import OVERDUE, PUT_OFF_BECAUSE
from inspections.models import Task
from venue.models import Person, Venue

AGREED_DAYS, MOST_AGREED = 21, 24
USUAL = {
    "trained_user": PRIYA, "competent_person": JONAS, "qualified_person": TAM,
    "outside_examiner": MARISOL,
}  # fmt: skip


def agree_days(*, venue: Venue, people: dict[str, Person], at: datetime) -> None:
    """The next three weeks have names beside them."""
    today = at.astimezone(venue.zone).date()
    soon = venue.tasks.filter(
        state=Task.State.OPEN, last_lawful_on__gte=today, day_agreed=False,
        planned_on__lte=today + timedelta(days=AGREED_DAYS),
    )  # fmt: skip
    manager = next(iter(people.values()))
    for task in soon.select_related("plan", "venue").order_by("planned_on", "pk")[:MOST_AGREED]:
        person = people.get(USUAL[task.plan.level], manager)
        change_task(task=task, planned_on=task.planned_on, person=person, why="", by=manager, at=at)


def put_off_the_overdue_one(venue: Venue, manager: Person, today: date, *, at: datetime) -> None:
    tag, regime, _ = OVERDUE
    task = _next_open(venue, tag, regime)
    if task:
        change_task(
            task=task, planned_on=_next_dark_day(today), person=None, why=PUT_OFF_BECAUSE, by=manager, at=at
        )  # fmt: skip


def cancel_one(
    venue: Venue, tag: str, regime: str, why: str, manager: Person, *, at: datetime
) -> None:
    task = _next_open(venue, tag, regime)
    if task:
        cancel_task(task=task, why=why, by=manager, at=at)


def _next_open(venue: Venue, tag: str, regime: str) -> Task | None:
    tasks = venue.tasks.filter(equipment__tag=tag, plan__regime=regime, state=Task.State.OPEN)
    return tasks.order_by("number").first()


def _next_dark_day(today: date) -> date:
    days = (today + timedelta(days=ahead) for ahead in range(2, 120))
    return next(day for day in days if "grid_empty" in leaves_accessible(day))
