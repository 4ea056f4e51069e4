"""Whom publishing gives a task to, and the reason it writes where the day is too late."""

from __future__ import annotations

from datetime import date, timedelta
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps

from inspections.actions.move_planned import move_planned
from inspections.actions.planning_settings import add_absence
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.tasks import change_task
from inspections.actions.year_plan_states import copy_year_plan
from inspections.models import PlannedTask, Task, YearPlan
from tests.house import NOW
from tests.inspections.year.year_house import (
    book,
    make_draft,
    make_examiner,
    make_winches,
    make_year_house,
)
from venue.models import LogLine, Person

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]
LATER = NOW + timedelta(hours=1)


@pytest.fixture
def house() -> Any:
    house = make_year_house()
    make_winches(house, 1)
    return house


def publish(house: Any, plan: YearPlan) -> None:
    publish_year_plan(year_plan=plan, by=house.people["manager"], at=LATER)


def first_of(plan: YearPlan, number: int = 0) -> PlannedTask:
    rows = plan.planned.filter(plan__regime="winch_ropes_monthly", equipment__tag="W1")
    return rows.select_related("task__person").order_by("day")[number]


def leader(row: PlannedTask) -> Person:
    return row.crew.get(leads=True).person


def away(house: Any, person: Person, day: date) -> None:
    add_absence(
        venue=house.venue, person=person, first_day=day, last_day=day, why="Leave",
        by=house.people["manager"], at=NOW,
    )  # fmt: skip


def move(house: Any, row: PlannedTask, day: date) -> None:
    move_planned(
        planned=row, day=day, half=row.half, by=house.people["manager"], at=NOW, late_is_meant=True
    )


def choose(house: Any, task: Task, person: Person, **more: Any) -> None:
    told = {"planned_on": task.planned_on, "half": task.half, "why": ""} | more
    change_task(task=task, person=person, by=house.people["manager"], at=NOW, **told)


def test_who_is_away_by_now_loses_the_task_on_a_day_that_stays(house: Any) -> None:
    plan = make_draft(house)
    publish(house, plan)
    row = first_of(plan)
    gone = row.task.person
    away(house, gone, row.day)
    again = make_draft(house)
    publish(house, again)
    new = first_of(again)
    assert (new.day, new.task_id) == (row.day, row.task_id)
    assert new.task.person == leader(new) != gone


def test_whoever_was_chosen_by_hand_keeps_it_and_the_plan_says_the_same(house: Any) -> None:
    plan = make_draft(house)
    publish(house, plan)
    row = first_of(plan)
    others = [house.people[name] for name in ("competent", "second", "manager")]
    other = next(person for person in others if person != row.task.person)
    choose(house, row.task, other)
    again = make_draft(house)
    assert leader(first_of(again)) == other
    publish(house, again)
    assert first_of(again).task.person == other
    publish(house, make_draft(house))
    assert Task.objects.get(pk=row.task_id).person == other


def test_whoever_was_chosen_after_the_draft_was_made_keeps_it_too(house: Any) -> None:
    publish(house, make_draft(house))
    draft = make_draft(house)
    row = first_of(draft)
    other = next(
        house.people[name] for name in ("competent", "second") if house.people[name] != leader(row)
    )
    choose(house, row.task, other)
    publish(house, draft)
    row = first_of(draft)
    assert row.task.person == leader(row) == other


def test_whoever_was_chosen_by_hand_and_cannot_any_more_is_replaced(house: Any) -> None:
    publish(house, make_draft(house))
    row = first_of(make_draft(house))
    other = next(
        house.people[name] for name in ("competent", "second") if house.people[name] != leader(row)
    )
    choose(house, row.task, other)
    away(house, other, row.day)
    again = make_draft(house)
    publish(house, again)
    row = first_of(again)
    assert row.task.person == leader(row) != other


def test_an_examiner_who_was_chosen_by_hand_stays_while_they_can(house: Any) -> None:
    Task.objects.filter(plan__regime="thorough_twelve_months").update(
        due_on="2026-06-10", last_lawful_on="2026-06-10"
    )
    other = make_examiner(house, "wren")
    publish(house, make_draft(house))
    task = Task.objects.get(plan__regime="thorough_twelve_months", planned_on__lte="2026-06-10")
    assert task.person is None  # two could do it
    choose(house, task, other)
    publish(house, make_draft(house))
    task.refresh_from_db()
    assert task.person == other
    away(house, other, task.planned_on)
    publish(house, make_draft(house))
    task.refresh_from_db()
    assert task.person == house.people["examiner"]


def test_a_task_that_is_late_because_it_was_meant_says_so(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    move(house, row, row.last_lawful_on + timedelta(days=2))
    publish(house, plan)
    why = first_of(plan).task.deferred_why
    assert why == (
        f"Moved by hand on 4 May 2026 in {plan}, where it was said that late is meant: 2 days late."
    )


def test_a_second_task_that_is_on_time_in_its_chain_is_not_called_put_off(house: Any) -> None:
    plan = make_draft(house)
    second = first_of(plan, 1)
    assert second.late_days == 0
    Task.objects.filter(pk=second.task_id).update(last_lawful_on=second.day - timedelta(days=1))
    publish(house, plan)
    assert first_of(plan, 1).task.deferred_why == ""


def test_a_second_task_that_is_late_after_an_early_first_one_says_why(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    move(house, row, row.day - timedelta(days=2))
    second = first_of(plan, 1)
    assert second.late_days == 1
    assert second.day <= second.task.last_lawful_on
    publish(house, plan)
    assert first_of(plan, 1).task.deferred_why.startswith("Moved by hand on 4 May 2026")


def test_a_task_without_a_half_day_in_time_says_that(house: Any) -> None:
    row = first_of(make_draft(house))
    for day in range(30):
        book(house, date(2026, 5, 4) + timedelta(days=day), 8, 23)
    plan = make_draft(house)
    late = first_of(plan)
    assert late.late_days > 0
    publish(house, plan)
    assert first_of(plan).task.deferred_why == (
        f"{plan}: until its last lawful day, {row.last_lawful_on:%-d %B %Y}, there is no half-day "
        "in which it can be done."
    )


def test_the_reason_of_a_plan_goes_with_its_late_day(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    on_time = row.day
    move(house, row, row.last_lawful_on + timedelta(days=2))
    publish(house, plan)
    copy = copy_year_plan(year_plan=plan, name="On time", by=house.people["manager"], at=NOW)
    move(house, first_of(copy), on_time)
    publish(house, copy)
    task = first_of(copy).task
    assert (task.planned_on, task.deferred_why) == (on_time, "")
    line = LogLine.objects.filter(did="plan_task", subject=f"inspections.task {task.pk}").last()
    assert line
    assert "late is meant" in line.body


def test_a_day_set_by_hand_afterwards_ends_the_reason_of_the_plan(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    on_time = row.day
    move(house, row, row.last_lawful_on + timedelta(days=2))
    publish(house, plan)
    task = first_of(plan).task
    choose(house, task, task.person, planned_on=on_time)
    task.refresh_from_db()
    assert task.deferred_why == ""


def test_what_a_person_wrote_stays_on_the_day_that_they_chose(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    day, task = row.last_lawful_on + timedelta(days=2), row.task
    move(house, row, day)
    choose(house, task, leader(row), planned_on=day, why="The rope comes on Friday.")
    publish(house, plan)
    task.refresh_from_db()
    assert (task.planned_on, task.deferred_why) == (day, "The rope comes on Friday.")
    assert task.why_from is None


def test_rows_from_before_are_told_which_plan_gave_them_what(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan)
    move(house, row, row.last_lawful_on + timedelta(days=2))
    publish(house, plan)
    row, other = first_of(plan), first_of(plan, 1)
    choose(house, other.task, house.people["stagehand"])
    by_hand = first_of(plan, 2).task
    choose(house, by_hand, by_hand.person, planned_on=by_hand.planned_on - timedelta(days=1))
    names = ("day_from", "person_from", "why_from")
    tasks = Task.objects.filter(pk__in=[row.task_id, other.task_id, by_hand.pk]).order_by("pk")
    before = list(tasks.values_list(*names))
    assert before == [(plan.pk,) * 3, (plan.pk, None, None), (None, plan.pk, None)]
    words = f"{plan} has no lawful half-day for it that is sooner; see the plan’s reasons."
    tasks.filter(pk=row.task_id).update(deferred_why=words)
    Task.objects.update(**dict.fromkeys(names))
    import_module("inspections.migrations.0037_who_gave_what").name_the_plans(apps, None)
    assert list(tasks.values_list(*names)) == [*before[:2], (None, None, None)]
