"""What has lost its half-day since the plan was published is told where the plan is looked at."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.planning_settings import add_absence
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.tasks import change_task
from inspections.models import PlannedTask, Task
from inspections.queries.upset_tasks import upset_plans, upset_tasks_of
from tests.house import NOW
from tests.inspections.year.year_house import make_draft, make_winches, make_year_house
from venue.actions.house import add_booking

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house() -> Any:
    house = make_year_house()
    house.plan = make_draft(house)
    return house


def publish(house: Any) -> PlannedTask:
    """The first task of the plan, which is in force now."""
    publish_year_plan(year_plan=house.plan, by=house.people["manager"], at=NOW)
    return house.plan.planned.order_by("day", "half", "pk").first()


def put_a_show_on(house: Any, day: date) -> None:
    begins = datetime.combine(day, time(), house.venue.zone)
    add_booking(
        venue=house.venue, what="performance", title="The Glass Ferry", starts=begins,
        ends=begins + timedelta(days=1), leaves_accessible=[], by=house.people["manager"], at=NOW,
    )  # fmt: skip


def put_on_the_next_day(house: Any, row: PlannedTask) -> None:
    change_task(
        task=row.task, planned_on=row.day + timedelta(days=1), person=row.task.person,
        why="The hall is taken.", by=house.people["manager"], at=NOW,
    )  # fmt: skip


def page(house: Any, name: str, *args: Any, who: str = "manager") -> str:
    client = Client()
    client.force_login(house.people[who])
    with time_machine.travel(NOW):
        said = client.get(reverse(name, args=["larkspur", *args])).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", said))


def test_a_show_on_a_planned_half_day_is_told_on_the_plan_the_board_and_tonight(house: Any) -> None:
    row = publish(house)
    assert upset_tasks_of(house.plan, NOW) == []
    for name, args in (
        ("year_plan", [house.plan.pk]),
        ("year_board", [house.plan.pk]),
        ("overview", []),
    ):
        assert "lost" not in page(house, name, *args)
    put_a_show_on(house, row.day)
    upset = upset_tasks_of(house.plan, NOW)
    same_day = {each.pk for each in house.plan.planned.filter(day=row.day)}
    assert {each.planned.pk for each in upset} == same_day
    assert upset[0].lacks.startswith(f"{row.day:%-d %B %Y}, ")
    assert "The Glass Ferry (Performance). Missing for it: " in upset[0].lacks
    told = page(house, "year_plan", house.plan.pk)
    assert "Cannot be done any more where it is planned" in told
    assert "The Glass Ferry (Performance)" in told
    assert "since it was published" in page(house, "year_board", house.plan.pk)
    assert "since that was published" in page(house, "overview")
    assert "since that was published" not in page(house, "overview", who="competent")


def test_of_a_draft_of_what_is_past_and_of_what_a_person_moved_nothing_is_told(house: Any) -> None:
    first = house.plan.planned.order_by("day", "half", "pk").first()
    put_a_show_on(house, first.day)
    assert upset_tasks_of(house.plan, NOW) == []
    house.plan = make_draft(house)
    row = publish(house)
    put_a_show_on(house, row.day)
    told = [each.planned for each in upset_tasks_of(house.plan, NOW)]
    assert row in told
    put_on_the_next_day(house, row)
    left = [each.planned for each in upset_tasks_of(house.plan, NOW)]
    assert left == [each for each in told if each != row]
    late = NOW + (row.day - NOW.date()) + timedelta(days=1)
    assert not {each.planned.day for each in upset_tasks_of(house.plan, late)} & {row.day}


def test_whoever_has_it_and_is_away_is_named(house: Any) -> None:
    row = publish(house)
    lead = row.crew.first().person
    add_absence(
        venue=house.venue, person=lead, first_day=row.day, last_day=row.day, why="Ill",
        by=house.people["manager"], at=NOW,
    )  # fmt: skip
    found = {each.planned: each for each in upset_tasks_of(house.plan, NOW)}
    assert found[row].lacks == ""
    assert found[row].absent == ((lead, "is away or does not work then"),)
    told = page(house, "year_plan", house.plan.pk)
    assert f"{lead.name} is away or does not work then. {row.day:%-d %B %Y}, " in told
    assert "Ill" not in told


def test_it_is_worked_out_once_until_something_is_written(house: Any) -> None:
    row = publish(house)
    put_a_show_on(house, row.day)
    found = upset_plans(house.venue, NOW)
    assert [each.plan for each in found] == [house.plan]
    with CaptureQueriesContext(connection) as asked:
        assert upset_plans(house.venue, NOW) == found
    assert len(asked) <= 6
    put_on_the_next_day(house, row)
    later = upset_plans(house.venue, NOW)
    assert [each.number for each in later] != [each.number for each in found]


def test_it_costs_the_same_queries_for_few_tasks_as_for_many(house: Any) -> None:
    publish(house)
    with CaptureQueriesContext(connection) as few:
        upset_tasks_of(house.plan, NOW)
    make_winches(house, 4)
    house.plan = make_draft(house)
    publish(house)
    with CaptureQueriesContext(connection) as many:
        upset_tasks_of(house.plan, NOW)
    assert Task.objects.count() > 8
    assert len(many) == len(few)
