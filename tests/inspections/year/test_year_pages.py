"""The pages of year plans: what they say, to whom, and what they cost."""

from __future__ import annotations

from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.models import PlannedTask, YearPlan
from tests.house import NOW
from tests.inspections.year.year_house import (
    know_calendar,
    make_draft,
    make_winches,
    make_year_house,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _at_that_time() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def house() -> Any:
    return make_year_house()


def client_of(house: Any, who: str = "manager") -> Client:
    client = Client()
    client.force_login(house.people[who])
    return client


def where(house: Any, name: str, *more: object) -> str:
    return reverse(name, args=[house.venue.slug, *more])


def test_a_manager_plans_and_publishes_and_everybody_here_reads(house: Any) -> None:
    plan = make_draft(house)
    manager = client_of(house).get(where(house, "year_plan", plan.pk)).content.decode()
    assert ">Publish</button>" in manager
    for who in ("competent", "stagehand", "examiner", "auditor"):
        shown = client_of(house, who).get(where(house, "year_plan", plan.pk))
        assert shown.status_code == 200
        assert "<button" not in shown.content.decode().split("<main")[1].split("</main")[0], who
        refused = client_of(house, who).post(where(house, "publish_year_plan", plan.pk))
        assert refused.status_code == 403
    assert ">Year</a>" in manager
    assert ">Year</a>" not in shown.content.decode()


def test_proposing_publishing_copying_and_withdrawing_from_the_pages(house: Any) -> None:
    plan, client = make_draft(house), client_of(house)
    client.post(where(house, "propose_year_plan", plan.pk))
    plan.refresh_from_db()
    assert plan.state == "proposed"
    done = client.post(where(house, "publish_year_plan", plan.pk), follow=True).content.decode()
    assert f"Published. {plan.planned.count()} tasks got their day" in done
    assert "In force." in done
    again = client.post(where(house, "publish_year_plan", plan.pk), follow=True).content.decode()
    assert "Not published." in again
    copied = client.post(
        where(house, "copy_year_plan", plan.pk), {"name": "Fewer Mondays"}, follow=True
    ).content.decode()
    assert "<h1>Fewer Mondays: " in copied
    assert "A copy of" in copied
    copy = YearPlan.objects.get(copy_of=plan)
    client.post(where(house, "withdraw_year_plan", copy.pk), {"why": "It was worse."})
    shown = client.get(where(house, "year_plan", copy.pk)).content.decode()
    assert "Withdrawn: It was worse." in shown
    listed = client.get(where(house, "year_plans")).content.decode()
    assert "In force" in listed
    assert "Withdrawn" in listed


def test_what_is_not_known_stands_on_the_plan(house: Any) -> None:
    know_calendar(house, None)
    plan = make_draft(house)
    shown = client_of(house).get(where(house, "year_plan", plan.pk)).content.decode()
    assert "The calendar has not been said to be entered." in shown
    assert "Not done within the plan at all" in shown
    assert (
        "It has not been said until which day"
        in client_of(house).get(where(house, "year_plans")).content.decode()
    )


def test_tasks_too_far_ahead_for_a_dated_task_are_counted_on_the_plan(house: Any) -> None:
    plan = make_draft(house)
    client, page = client_of(house), where(house, "year_plan", plan.pk)
    assert "no dated task yet" not in client.get(page).content.decode()
    far = plan.planned.order_by("day").last()
    PlannedTask.objects.filter(pk=far.pk).update(task=None)
    assert "1 task of this plan has no dated task yet" in client.get(page).content.decode()


def test_the_list_costs_the_same_at_three_plans_and_at_nine(house: Any) -> None:
    make_draft(house)
    costs = [_list_cost(house, count) for count in (3, 9)]
    assert costs[0] == costs[1]


def _list_cost(house: Any, count: int) -> int:
    client, first = client_of(house), YearPlan.objects.first()
    while YearPlan.objects.count() < count:
        first.pk = None
        first.save(force_insert=True)
    with CaptureQueriesContext(connection) as queries:
        shown = client.get(where(house, "year_plans")).content.decode()
    assert shown.count("Year plan 11 May 2026") == count
    return len(queries)


def test_a_plan_costs_the_same_with_few_tasks_and_with_many(house: Any) -> None:
    few = make_draft(house)
    make_winches(house, 6)
    many = make_draft(house)
    costs, seen = [], []
    for plan in (few, many):
        client = client_of(house)
        with CaptureQueriesContext(connection) as queries:
            page = client.get(where(house, "year_plan", plan.pk) + "?month=2026-06")
        costs.append(len(queries))
        seen.append(page.content.decode().count('data-label="Half"'))
    assert costs[0] == costs[1]
    assert seen[1] > seen[0] > 0


def test_the_list_of_tasks_is_asked_for_whoever_has_a_part_and_not_for_a_whole_crew(
    house: Any,
) -> None:
    plan = make_draft(house)
    row = plan.planned.filter(crew__isnull=False).first()
    row.crew.all().delete()
    people = [house.people[who] for who in ("manager", "competent")]
    for number, person in enumerate(people):
        row.crew.create(person=person, quarters=2, leads=not number)
    for person in people:
        asked = client_of(house).get(where(house, "year_tasks", plan.pk), {"who": person.name})
        page = asked.content.decode()
        assert f'<option value="{person.name}" selected>' in page
        assert f'href="/v/larkspur/year/tasks/{row.pk}/"' in page
    assert ", ".join(person.name for person in people) + "</option>" not in page


def test_a_month_without_tasks_or_nonsense_shows_the_next_with_some(house: Any) -> None:
    plan = make_draft(house)
    for wanted in ("2031-01", "x", "2026-13", ""):
        page = client_of(house).get(where(house, "year_plan", plan.pk), {"month": wanted})
        assert page.status_code == 200
        assert "Week of" in page.content.decode()


def test_a_planned_task_of_another_venue_is_not_found(house: Any) -> None:
    row = make_draft(house).planned.first()
    assert row
    client = client_of(house, "other manager")
    for slug in (house.venue.slug, house.other.slug):
        assert client.get(reverse("planned_task", args=[slug, row.pk])).status_code == 404
        for name in ("move_planned", "lock_planned"):
            assert client.post(reverse(name, args=[slug, row.pk])).status_code == 404
    assert PlannedTask.objects.filter(locked=True).count() == 0
