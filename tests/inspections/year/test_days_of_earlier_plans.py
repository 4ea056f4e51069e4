"""What the next plan holds fast: days that people set and tasks that were locked, and no day only
because some plan once gave it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from inspections.actions.lock_planned import set_locked
from inspections.actions.move_planned import move_planned
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.tasks import change_task
from inspections.actions.year_plan_states import copy_year_plan, withdraw_year_plan
from inspections.models import PlannedTask, Task, YearPlan
from inspections.planning.house import House
from inspections.planning.house import Task as PureTask
from inspections.queries.house_of import house_of
from inspections.queries.plans_in_force import plan_in_force, plan_replaced_by
from inspections.queries.year_changes import changes_of
from inspections.queries.year_plans import is_in_force
from tests.house import NOW, TODAY
from tests.inspections.year.year_house import (
    DAYS,
    MONDAY,
    make_draft,
    make_winches,
    make_year_house,
)

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house() -> Any:
    house = make_year_house()
    make_winches(house, 1)
    return house


def publish(house: Any, plan: YearPlan, hours: int = 0) -> YearPlan:
    at = NOW + timedelta(hours=hours)
    publish_year_plan(year_plan=plan, by=house.people["manager"], at=at)
    return plan


def withdraw(house: Any, plan: YearPlan) -> None:
    withdraw_year_plan(year_plan=plan, why="Off.", by=house.people["manager"], at=NOW)


def promised(house: Any, draft: YearPlan | None = None) -> House:
    return house_of(house.venue, MONDAY, DAYS, NOW, draft=draft).house


def a_row(plan: YearPlan) -> PlannedTask:
    rows = plan.planned.filter(plan__regime="winch_ropes_monthly", equipment__tag="W1")
    return rows.select_related("task").order_by("day")[0]


def slot(row: PlannedTask, day: date | None = None) -> int:
    return 2 * ((day or row.day) - MONDAY).days + (row.half == "pm")


def key(row: PlannedTask) -> str:
    return f"{row.equipment.tag}: {row.plan.version.title}"


def move(house: Any, row: PlannedTask, day: date) -> None:
    move_planned(
        planned=row, day=day, half=row.half, by=house.people["manager"], at=NOW, late_is_meant=True
    )


def by_hand(house: Any, task: Task, day: date, half: str = "") -> None:
    change_task(
        task=task,
        planned_on=day,
        half=half,
        person=None,
        why="",
        by=house.people["manager"],
        at=NOW,
    )


def test_the_days_of_a_withdrawn_plan_are_not_promised_at_all(house: Any) -> None:
    plan = publish(house, make_draft(house))
    assert promised(house).agreed
    withdraw(house, plan)
    found = promised(house)
    assert (found.agreed, found.locked) == (frozenset(), frozenset())


def test_where_a_plan_is_withdrawn_the_one_before_is_agreed_at_a_price(house: Any) -> None:
    first = publish(house, make_draft(house))
    second = copy_year_plan(year_plan=first, name="Sooner", by=house.people["manager"], at=NOW)
    row = a_row(second)
    moved_to = row.day - timedelta(days=1)
    move(house, row, moved_to)
    publish(house, second, 1)
    assert PureTask(key(row), slot(row, moved_to)) in promised(house).agreed
    withdraw(house, second)
    found = promised(house)
    assert found.locked == frozenset()
    assert PureTask(key(row), slot(row)) in found.agreed
    assert PureTask(key(row), slot(row, moved_to)) not in found.agreed
    assert len(found.agreed) == first.planned.count()


def test_a_plan_of_a_later_year_does_not_lock_the_days_of_this_one(house: Any) -> None:
    this = publish(house, make_draft(house, days=35))
    row = a_row(this)
    later = publish(house, make_draft(house, MONDAY + timedelta(days=35), 56), 1)
    days = [MONDAY + timedelta(days=number) for number in (-1, 0, 34, 35, 90, 91)]
    force = [plan_in_force(house.venue, day) for day in days]
    assert force == [None, this, this, later, later, None]
    found = promised(house)
    assert found.locked == frozenset()
    assert PureTask(key(row), slot(row)) in found.agreed
    assert len(found.agreed) == this.planned.count() + later.planned.count()
    assert all(is_in_force(plan, TODAY) for plan in (this, later))
    assert not is_in_force(this, MONDAY + timedelta(days=35))


def test_a_replan_of_the_rest_of_a_year_leaves_the_days_before_it_in_force(house: Any) -> None:
    whole = publish(house, make_draft(house))
    rest = publish(house, make_draft(house, MONDAY + timedelta(days=28), DAYS - 28), 1)
    assert plan_in_force(house.venue, MONDAY) == whole
    assert plan_in_force(house.venue, MONDAY + timedelta(days=28)) == rest
    again = make_draft(house)
    assert plan_replaced_by(again) == rest
    told = changes_of(make_draft(house, days=28), NOW)
    assert told
    assert told.before == whole
    assert changes_of(rest, NOW) is None


def test_a_day_set_by_hand_stays_also_where_a_withdrawn_plan_had_the_same(house: Any) -> None:
    plan = publish(house, make_draft(house))
    row = a_row(plan)
    withdraw(house, plan)
    row.task.refresh_from_db()
    by_hand(house, row.task, row.day, row.half)
    found = promised(house)
    assert found.locked == {PureTask(key(row), slot(row))}


def test_a_half_that_a_person_said_stays_too(house: Any) -> None:
    plan = publish(house, make_draft(house))
    row = a_row(plan)
    row.task.refresh_from_db()
    other = "am" if row.half == "pm" else "pm"
    by_hand(house, row.task, row.day, other)
    found = promised(house)
    assert found.locked == {PureTask(key(row), slot(row) ^ 1)}
    assert PureTask(key(row), slot(row)) not in found.agreed


def test_a_person_alone_changed_by_hand_locks_no_day(house: Any) -> None:
    plan = publish(house, make_draft(house))
    row = a_row(plan)
    row.task.refresh_from_db()
    by_hand(house, row.task, row.day, row.task.half)
    assert promised(house).locked == frozenset()


def test_planning_again_from_a_draft_keeps_what_is_locked_in_it(house: Any) -> None:
    publish(house, make_draft(house))
    draft = make_draft(house)
    row = a_row(draft)
    day = row.day - timedelta(days=1)
    move(house, row, day)
    set_locked(planned=row, locked=True, by=house.people["manager"], at=NOW)
    assert promised(house).locked == frozenset()
    found = house_of(house.venue, MONDAY, DAYS, NOW, draft=draft)
    assert found.house.locked == {PureTask(key(row), slot(row, day))}
    assert f"Planned again from “{draft}”, with 1 of its tasks locked." in found.assumptions


def test_a_day_set_by_hand_since_goes_before_a_lock_that_nobody_moved(house: Any) -> None:
    draft = make_draft(house)
    row = a_row(draft)
    set_locked(planned=row, locked=True, by=house.people["manager"], at=NOW)
    day = row.day - timedelta(days=1)
    by_hand(house, row.task, day, row.half)
    assert promised(house, draft).locked == {PureTask(key(row), slot(row, day))}


def test_a_lock_that_was_moved_by_hand_goes_before_the_day_of_its_task(house: Any) -> None:
    task = a_row(make_draft(house)).task
    by_hand(house, task, task.planned_on, "am")
    draft = make_draft(house)
    row = a_row(draft)
    assert row.locked
    set_locked(planned=row, locked=False, by=house.people["manager"], at=NOW)
    day = row.day + timedelta(days=1)
    move(house, row, day)
    set_locked(planned=row, locked=True, by=house.people["manager"], at=NOW)
    assert promised(house, draft).locked == {PureTask(key(row), slot(row, day))}
