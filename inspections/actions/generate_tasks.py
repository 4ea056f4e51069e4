"""Turn plans into dated tasks. May run twice, or in two workers at once, without harm: a database
constraint allows one task per plan and number."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from datetime import date, datetime
from functools import cache

from django.db import transaction

from inspections.models import Plan, Task
from inspections.queries.plan_dates import dates_of
from inspections.task_dates import TaskDates, task_dates
from venue.actions.log import write_line
from venue.models import Person, Venue

log = logging.getLogger(__name__)


def generate_tasks(*, venue: Venue, by: Person | None, at: datetime) -> int:
    """Make the missing tasks of the coming 15 months. Returns how many were new."""
    plans = Plan.objects.filter(
        equipment__venue=venue, ended_on__isnull=True, equipment__standing="installed"
    ).exclude(interval="")
    with transaction.atomic():
        made = generate_for_plans(venue, plans.select_related("equipment"), at)
        if made:
            write_line(
                venue=venue, by=by, at=at, did="generate_tasks", subject=venue, after={"made": made}
            )
    return made


def generate_for_plans(venue: Venue, plans: Iterable[Plan], at: datetime) -> int:
    """Inside the caller's transaction. One plan with an impossible date never stops the others."""
    today = at.astimezone(venue.zone).date()
    plans = [plan for plan in plans if plan.interval]
    have = _numbers(plans)
    dated_once = cache(task_dates)  # plans that are begun together share their dates
    fresh: list[Task] = []
    for plan in plans:
        try:
            dates = dated_once(dates_of(plan), today)
            fresh += [
                _task(venue, plan, dated) for dated in dates if (plan.pk, dated.number) not in have
            ]
        except (ValueError, OverflowError):
            log.exception("plan %s gives no dates; the other plans go on", plan.pk)
    before = Task.objects.filter(venue=venue).count()
    Task.objects.bulk_create(fresh, ignore_conflicts=True, batch_size=500)
    return Task.objects.filter(venue=venue).count() - before


def redate_open_tasks(plan: Plan, today: date) -> None:
    """After one was done, move the later ones; a day a person agreed stays as it is."""
    dates = {dated.number: dated for dated in task_dates(dates_of(plan), today)}
    for task in plan.tasks.filter(state="open"):
        dated = dates.get(task.number)
        if dated is None:
            continue
        planned = task.planned_on if task.day_agreed else dated.planned_on
        Task.objects.filter(pk=task.pk).update(
            due_on=dated.due_on, last_lawful_on=dated.last_lawful_on, planned_on=planned
        )


def _numbers(plans: list[Plan]) -> set[tuple[int, int]]:
    return set(Task.objects.filter(plan__in=plans).values_list("plan_id", "number"))


def _task(venue: Venue, plan: Plan, dated: TaskDates) -> Task:
    return Task(
        venue_id=venue.pk,
        plan_id=plan.pk,
        equipment_id=plan.equipment_id,
        number=dated.number,
        due_on=dated.due_on,
        planned_on=dated.planned_on,
        last_lawful_on=dated.last_lawful_on,
        person_id=plan.usual_person_id,
    )
