"""Whoever a person chose to help with a task stays at it when a plan is published that leaves it on
its day, in the plan too; who cannot is told, with why."""

from __future__ import annotations

import re
from datetime import date, timedelta
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse

from inspections.actions.planning_settings import add_absence
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.tasks import change_task
from inspections.actions.year_plan_states import copy_year_plan
from inspections.models import PlannedTask, Task, YearPlan
from tests.house import NOW
from tests.inspections.year.year_house import MONDAY, make_draft, make_plan, make_year_house
from venue.models import Competence, LogLine, Person

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

DAYS, YEARLY = 42, "winch_yearly"  # needs a helper
ONE = "winch_ropes_monthly"  # needs nobody else


@pytest.fixture
def house() -> Any:
    house = make_year_house()
    make_plan(house.winch, YEARLY, house, date(2025, 6, 10))
    publish(house, make_draft(house, MONDAY, DAYS))
    return house


def publish(house: Any, plan: YearPlan) -> YearPlan:
    publish_year_plan(year_plan=plan, by=house.people["manager"], at=NOW)
    return plan


def again(house: Any) -> YearPlan:
    return publish(house, make_draft(house, MONDAY, DAYS))


def row_of(plan: YearPlan, regime: str = YEARLY) -> PlannedTask:
    rows = plan.planned.filter(plan__regime=regime).exclude(task=None)
    return rows.select_related("task__person").order_by("day")[0]


def task_of(house: Any, regime: str = YEARLY) -> Task:
    published = YearPlan.objects.filter(state="published").order_by("-pk")[0]
    return row_of(published, regime).task


def choose(house: Any, task: Task, *helpers: Person, **more: Any) -> None:
    told = {"planned_on": task.planned_on, "half": task.half, "person": task.person, "why": ""}
    change_task(task=task, helpers=helpers, by=house.people["manager"], at=NOW, **told | more)


def helpers(task: Task) -> set[Person]:
    return set(Task.objects.get(pk=task.pk).helpers.all())


def crew(row: PlannedTask) -> set[Person]:
    return {part.person for part in row.crew.all()}


def somebody_else(house: Any, task: Task) -> Person:
    """Who works here and is not at it."""
    there = helpers(task) | {task.person}
    works = [house.people[name] for name in ("stagehand", "second", "competent", "manager")]
    return next(person for person in works if person not in there)


def away(house: Any, person: Person, day: date) -> None:
    add_absence(
        venue=house.venue, person=person, first_day=day, last_day=day, why="Leave",
        by=house.people["manager"], at=NOW,
    )  # fmt: skip


def page(house: Any, plan: YearPlan) -> str:
    client = Client()
    client.force_login(house.people["manager"])
    got = client.get(reverse("year_plan", args=["larkspur", plan.pk])).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", got))


def test_a_helper_chosen_by_hand_takes_the_part_in_every_plan_that_follows(house: Any) -> None:
    task = task_of(house)
    other = somebody_else(house, task)
    choose(house, task, other)
    for _ in range(2):
        plan = again(house)
        assert other in crew(row_of(plan))
        assert helpers(task) == {other}
        assert plan.outcome["not_kept"] == []


def test_who_was_chosen_after_the_draft_was_made_is_kept_too(house: Any) -> None:
    draft, task = make_draft(house, MONDAY, DAYS), task_of(house)
    other = somebody_else(house, task)
    choose(house, task, other)
    publish(house, draft)
    assert other in crew(row_of(draft))
    assert helpers(task) == {other}


def test_a_helper_beyond_what_the_work_needs_stays_without_hours_of_the_plan(house: Any) -> None:
    task = task_of(house, ONE)
    other = somebody_else(house, task)
    choose(house, task, other)
    for _ in range(2):
        plan = again(house)
        assert crew(row_of(plan, ONE)) == {task.person}
        assert helpers(task) == {other}
        assert plan.outcome["not_kept"] == []


def test_whom_a_plan_gave_it_is_not_taken_for_chosen(house: Any) -> None:
    """Sent back as it stands the form chooses nobody; with one more it chooses that one."""
    task = task_of(house)
    (given,) = helpers(task)
    choose(house, task, given)
    assert set(task.chosen_helpers.all()) == set()
    other = somebody_else(house, task)
    choose(house, task, given, other)
    assert set(task.chosen_helpers.all()) == {other}
    again(house)
    assert helpers(task) == {other}, "the plan needs one"


def test_on_another_day_a_plan_chooses_anew(house: Any) -> None:
    task = task_of(house)
    other = somebody_else(house, task)
    choose(house, task, other)
    draft = make_draft(house, MONDAY, DAYS)
    row = row_of(draft)
    draft.planned.filter(pk=row.pk).update(day=row.day - timedelta(days=1))
    Task.objects.filter(pk=task.pk).update(day_from=row.year_plan)
    publish(house, draft)
    assert set(task.chosen_helpers.all()) == set()
    assert draft.outcome["not_kept"] == []


@pytest.mark.parametrize(
    ("happens", "why"),
    [("away", "is away or does not work then"),
     ("lapsed", "is not competent for it on that day"),
     ("no card", "holds no certificate here"),
     ("left", "is none of those who are planned here")],
)  # fmt: skip
def test_who_cannot_be_there_any_more_is_not_kept_and_that_is_said(
    house: Any, happens: str, why: str
) -> None:
    task = task_of(house)
    other = somebody_else(house, task)
    choose(house, task, other)
    cards = Competence.objects.filter(person=other)
    if happens == "away":
        away(house, other, task.planned_on)
    elif happens == "lapsed":
        from tests.guards import unguarded

        with unguarded():
            cards.update(expires_on=task.planned_on - timedelta(days=1))
    elif happens == "no card":
        from tests.guards import unguarded

        with unguarded():
            cards.delete()
    else:
        house.venue.memberships.filter(person=other).update(ended_on=NOW.date())
    plan = again(house)
    row = row_of(plan)
    assert other not in helpers(task) | crew(row)
    assert len(helpers(task)) == 1, "somebody else helps"
    assert plan.outcome["not_kept"] == [{"planned": row.pk, "person": other.pk, "why": why}]
    said = f"{other.name}, for W1 {row.plan.version.title} on {row.day:%-d %B %Y}: {why}."
    assert said in page(house, plan)
    line = LogLine.objects.filter(did="publish_year_plan").order_by("-number")[0]
    assert '"chosen_not_kept":"1"' in line.body
    assert "not_kept" not in page(house, plan)
    assert page(house, again(house)).count("could not:") == 0, "said once, of that plan"


def test_a_copy_says_nothing_of_the_publishing_of_its_original(house: Any) -> None:
    task = task_of(house)
    other = somebody_else(house, task)
    choose(house, task, other)
    away(house, other, task.planned_on)
    plan = again(house)
    copy = copy_year_plan(year_plan=plan, name="If", by=house.people["manager"], at=NOW)
    assert copy.outcome["not_kept"] == []
    assert "could not:" not in page(house, copy)


def test_who_was_chosen_to_lead_and_is_away_is_said_too(house: Any) -> None:
    task = task_of(house, ONE)
    other = (
        house.people["second"]
        if task.person != house.people["second"]
        else house.people["competent"]
    )
    choose(house, task, person=other)
    away(house, other, task.planned_on)
    plan = again(house)
    (told,) = plan.outcome["not_kept"]
    assert (told["person"], told["why"]) == (other.pk, "is away or does not work then")


def test_whoever_a_draft_has_and_is_away_by_now_is_not_handed_the_task(house: Any) -> None:
    """The plan is lawful without them, and says somebody else from its publishing on."""
    draft = make_draft(house, MONDAY, DAYS)
    row = draft.planned.filter(plan__regime=ONE).exclude(task=None).order_by("day")[1]
    gone = row.crew.get(leads=True).person
    away(house, gone, row.day)
    publish(house, draft)
    row.task.refresh_from_db()
    assert row.task.person == row.crew.get(leads=True).person != gone


def test_rows_from_before_are_told_whom_a_person_chose(house: Any) -> None:
    task, single = task_of(house), task_of(house, ONE)
    (given,) = helpers(task)
    other = somebody_else(house, task)
    choose(house, task, given, other)
    choose(
        house, single, house.people["stagehand"], planned_on=single.planned_on - timedelta(days=1)
    )
    for each in (task, single):
        each.chosen_helpers.clear()
    migration = import_module("inspections.migrations.0040_helpers_chosen_by_hand")
    migration.tell_the_chosen(apps, None)
    assert set(task.chosen_helpers.all()) == {other}
    assert set(single.chosen_helpers.all()) == {house.people["stagehand"]}
