"""What the published plan has told to people outside the house stays arranged when time goes on."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.actions.planning_settings import set_set_up_price
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.actions.tasks import change_task
from inspections.actions.year_plan_states import withdraw_year_plan
from inspections.models import PlannedTask, Task, YearPlan
from inspections.planning.usable import hindrances
from inspections.queries.check_year_plan import check_year_plan
from inspections.queries.house_of import HouseOf, house_of
from inspections.queries.why_here import why_of
from tests.house import NOW, TODAY
from tests.inspections.year.year_house import (
    DAYS,
    MONDAY,
    make_draft,
    make_winches,
    make_year_house,
)

pytestmark = pytest.mark.django_db
EXAMINED, ROPES = "thorough_twelve_months", "winch_ropes_monthly"
LOCKED = "machine locked off (Stage)"


@pytest.fixture
def house() -> Any:
    """A published plan with a visit in June, 14 days of notice, and machines locked off with 9."""
    house = make_year_house()
    house.odile = house.people["manager"]
    fields = {"price": Decimal("5.50"), "notice_days": 9}
    set_set_up_price(
        venue=house.venue, slug="machine_locked", fields=fields, by=house.odile, at=NOW
    )
    Task.objects.filter(plan__regime=EXAMINED).update(
        due_on="2026-06-10", last_lawful_on="2026-06-10"
    )
    house.plan = publish(house, make_draft(house))
    house.visit = first_of(house.plan, EXAMINED)
    return house


def publish(house: Any, plan: YearPlan, at: datetime = NOW) -> YearPlan:
    publish_year_plan(year_plan=plan, by=house.odile, at=at)
    plan.refresh_from_db()
    return plan


def first_of(plan: YearPlan, regime: str) -> PlannedTask:
    row = plan.planned.select_related("task").filter(plan__regime=regime).order_by("day").first()
    assert row
    return row


def before(row: PlannedTask, days: int) -> datetime:
    return NOW + (row.day - timedelta(days=days) - TODAY)


def planned_again(house: Any, at: datetime) -> YearPlan:
    """From the day after."""
    first = at.date() + timedelta(days=1)
    return make_quick_plan(venue=house.venue, first_day=first, days=60, by=house.odile, at=at)


def built(house: Any, at: datetime) -> HouseOf:
    return house_of(house.venue, at.date() + timedelta(days=1), 60, at)


def in_the_way(found: HouseOf, row: PlannedTask, day: date) -> list[str]:
    slot = 2 * found.span.number(day) + (row.half == "pm")
    return hindrances(found.house, found.house.plan_of[found.keys[row.plan_id]], slot)


@pytest.mark.parametrize(("regime", "days"), [(EXAMINED, 10), (ROPES, 5)])
def test_what_was_told_in_time_stays_where_it_is_when_the_year_is_planned_again(
    house: Any, regime: str, days: int
) -> None:
    told = first_of(house.plan, regime)
    again = first_of(planned_again(house, before(told, days)), regime)
    assert (again.day, again.half) == (told.day, told.half)


def test_the_plan_says_what_it_takes_as_arranged(house: Any) -> None:
    found = built(house, before(house.visit, 10))
    (said,) = [words for words in found.assumptions if words.startswith("Taken as arranged")]
    assert f"{house.visit.day:%-d %B %Y}, examiner (lifting)" in said
    assert not [w for w in built(house, NOW).assumptions if w.startswith("Taken as arranged")]


def test_another_task_may_join_a_visit_that_is_arranged_and_none_a_day_that_is_not(
    house: Any,
) -> None:
    found = built(house, before(house.visit, 10))
    assert in_the_way(found, house.visit, house.visit.day) == []
    for other in (-1, 1):
        ways = in_the_way(found, house.visit, house.visit.day + timedelta(days=other))
        assert "examiner (lifting)" in ways


def test_nothing_has_changed_with_a_task_only_because_its_day_comes_nearer(house: Any) -> None:
    at = before(house.visit, 3)
    judged = check_year_plan(house.plan, at)
    assert not [fault for fault in judged.faults if "notice" in fault or "does not come" in fault]
    why = why_of(house.visit, at)
    assert why
    assert why.changed == ()


def test_a_draft_that_is_left_until_no_notice_can_be_given_is_refused_in_days(house: Any) -> None:
    withdraw_year_plan(year_plan=house.plan, why="The tour is off.", by=house.odile, at=NOW)
    ropes = first_of(house.plan, ROPES)
    faults = check_year_plan(house.plan, before(ropes, 5)).faults
    words = f"too late to give notice of {LOCKED} for {ropes.day:%-d %B %Y}"
    assert [fault for fault in faults if words in fault]
    assert "examiner (lifting) does not come on" in " ".join(
        check_year_plan(house.plan, before(house.visit, 5)).faults
    )


def test_a_visit_whose_tasks_have_all_got_another_day_is_off(house: Any) -> None:
    day, task = house.visit.day, house.visit.task
    assert task
    task.refresh_from_db()
    change_task(
        task=task, planned_on=day - timedelta(days=1), person=task.person, why="",
        by=house.odile, at=NOW,
    )  # fmt: skip
    assert "examiner (lifting)" in in_the_way(
        built(house, before(house.visit, 10)), house.visit, day
    )


def test_what_is_made_ready_for_the_other_half_of_the_day_was_not_told(house: Any) -> None:
    ropes = first_of(house.plan, ROPES)
    at, way = before(ropes, 5), f"notice for {LOCKED}"
    assert way not in in_the_way(built(house, at), ropes, ropes.day)
    other = "am" if ropes.half == "pm" else "pm"
    Task.objects.filter(planned__year_plan=house.plan, planned_on=ropes.day).update(half=other)
    assert way in in_the_way(built(house, at), ropes, ropes.day)


def test_the_house_is_built_with_the_same_queries_for_few_tasks_as_for_many(house: Any) -> None:
    counts = []
    for winches in (0, 4):
        make_winches(house, winches) if winches else None
        publish(house, make_draft(house), NOW + timedelta(hours=1 + winches))
        with CaptureQueriesContext(connection) as asked:
            house_of(house.venue, MONDAY, DAYS, NOW)
        counts.append(len(asked))
    assert counts[0] == counts[1], counts
