"""Whoever is to do published work sees in which half-day, and who is there beside them."""

from __future__ import annotations

import json
from datetime import date
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps

from inspections.actions.publish_in_doubt import InDoubt
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.models import PlannedTask, Task, YearPlan
from tests.house import NOW
from tests.inspections.year.year_house import MONDAY, make_draft, make_plan, make_year_house
from venue.models import Competence, LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

DAYS, YEARLY = 42, "winch_yearly"  # needs a helper


@pytest.fixture
def house() -> Any:
    house = make_year_house()
    make_plan(house.winch, YEARLY, house, date(2025, 6, 10))
    examined = Task.objects.filter(plan__regime="thorough_twelve_months")
    examined.update(due_on="2026-06-10", last_lawful_on="2026-06-10")
    return house


@pytest.fixture
def plan(house: Any) -> YearPlan:
    return make_draft(house, MONDAY, DAYS)


def publish(house: Any, plan: YearPlan) -> None:
    publish_year_plan(year_plan=plan, by=house.people["manager"], at=NOW)


def yearly(plan: YearPlan) -> PlannedTask:
    row = plan.planned.filter(plan__regime=YEARLY).select_related("task").first()
    assert row
    assert row.task
    return row


def crew(row: PlannedTask) -> set[str]:
    return {part.person.name for part in row.crew.all()}


def there(task: Task) -> set[str]:
    """Everybody at work, whoever leads."""
    task.refresh_from_db()
    people = {person.name for person in task.helpers.all()}
    return people | ({task.person.name} if task.person else set())


def test_the_task_gets_the_half_and_everybody_who_is_there(house: Any, plan: YearPlan) -> None:
    publish(house, plan)
    seen = helped = 0
    for row in plan.planned.exclude(task=None).select_related("task"):
        assert row.task
        assert (row.task.half, row.task.half_days) == (row.half, row.half_days)
        assert there(row.task) >= crew(row) > set()
        helpers = {person.name for person in row.task.helpers.all()}
        assert row.task.person is None or row.task.person.name not in helpers
        seen, helped = seen + 1, helped + bool(helpers)
    assert seen > 3
    assert helped > 0


def test_beside_an_examiner_stand_the_people_of_the_house(house: Any, plan: YearPlan) -> None:
    publish(house, plan)
    row = plan.planned.get(examiner="lifting", plan__regime="thorough_twelve_months")
    assert row.task
    row.task.refresh_from_db()
    assert row.task.person == house.people["examiner"]
    assert {person.name for person in row.task.helpers.all()} == crew(row) > set()


def test_the_log_says_half_and_helpers_by_reference_and_without_names(
    house: Any, plan: YearPlan
) -> None:
    row = yearly(plan)
    publish(house, plan)
    line = LogLine.objects.get(did="plan_task", subject=f"inspections.task {row.task_id}")
    body = json.loads(line.body)
    assert (body["before"]["half"], body["after"]["half"]) == ("", row.half)
    assert body["before"]["helpers"] == []
    assert len(body["after"]["helpers"]) == len(crew(row)) - 1 > 0
    assert not any(name in line.body for name in crew(row))


def test_another_half_or_another_crew_alone_is_a_change_that_is_logged(
    house: Any, plan: YearPlan
) -> None:
    publish(house, plan)
    before = LogLine.objects.filter(did="plan_task").count()
    again = make_draft(house, MONDAY, DAYS)
    row = yearly(again)
    half = PlannedTask.Half.AFTERNOON if row.half == "am" else PlannedTask.Half.MORNING
    again.planned.filter(pk=row.pk).update(half=half)
    publish(house, again)
    assert row.task
    row.task.refresh_from_db()
    assert row.task.half == half
    assert LogLine.objects.filter(did="plan_task").count() == before + 1
    third = make_draft(house, MONDAY, DAYS)
    row = yearly(third)
    assert row.task
    known = crew(row) | there(row.task)
    other = next(person for person in house.people.values() if person.name not in known)
    row.crew.filter(leads=False).update(person=other)
    publish(house, third)
    assert other in row.task.helpers.all()
    assert LogLine.objects.filter(did="plan_task").count() == before + 2


@pytest.mark.parametrize("qualified", [True, False])
def test_who_was_put_in_the_leaders_place_by_hand_leads_if_they_may(
    house: Any, plan: YearPlan, qualified: bool
) -> None:
    """Then whoever was to lead is the one beside them; else they stay beside whoever may."""
    publish(house, plan)
    row = yearly(plan)
    leader, helper = (row.crew.get(leads=leads).person for leads in (True, False))
    if qualified:
        Competence.objects.create(
            person=helper, venue=house.venue, level="qualified_person", certificate="Card 8",
            issued_by="College", valid_from=date(2024, 1, 1),
        )  # fmt: skip
    Task.objects.filter(pk=row.task_id).update(person=helper, person_from=None)
    again = make_draft(house, MONDAY, DAYS)
    publish(house, again)
    row = yearly(again)
    assert row.task
    assert there(row.task) == crew(row)
    assert row.task.person == (helper if qualified else leader)


def test_what_was_published_before_tasks_had_halves_is_filled_in_from_its_plan(
    house: Any, plan: YearPlan
) -> None:
    """But not where somebody has given the task another day since, nor from an earlier plan."""
    publish(house, plan)
    publish(house, make_draft(house, MONDAY, DAYS))
    tasks = {row.task_id: row.task for row in plan.planned.select_related("task") if row.task}
    people = {pk: there(task) for pk, task in tasks.items()}  # reads each anew
    published = {pk: (task.half, task.half_days, people[pk]) for pk, task in tasks.items()}
    moved = yearly(plan).task_id
    for task in tasks.values():
        task.helpers.clear()
    Task.objects.update(half="")
    Task.objects.filter(pk=moved).update(planned_on=date(2025, 6, 9))
    migration = import_module("inspections.migrations.0031_half_and_helpers_of_a_task")
    migration.fill_from_published_plans(apps, None)
    for pk, task in tasks.items():
        if pk != moved:
            found = there(task)
            assert (task.half, task.half_days, found) == published[pk]
    assert moved in tasks
    tasks[moved].refresh_from_db()
    assert (tasks[moved].half, tasks[moved].helpers.count()) == ("", 0)


def test_what_has_too_few_people_is_published_only_with_words_that_the_log_keeps(
    house: Any, plan: YearPlan
) -> None:
    row = yearly(plan)
    row.crew.exclude(leads=True).delete()
    with pytest.raises(InDoubt, match=r"1 of \d+ tasks needs more people than are free"):
        publish(house, plan)
    assert there(row.task) == set()
    who = house.people["manager"]
    publish_year_plan(year_plan=plan, by=who, at=NOW, although="Piet comes from the other house.")
    said = json.loads(LogLine.objects.get(did="publish_year_plan").body)["after"]
    assert said["although"] == "Piet comes from the other house."
    assert row.plan.equipment.tag in str(said["in_doubt"])
