"""A plan is published whole or not at all, and only while it is still lawful."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from inspections.actions.publish_year_plan import CannotPublish, publish_year_plan
from inspections.actions.tasks import cancel_task, change_task
from inspections.actions.year_plan_states import (
    CannotChange,
    copy_year_plan,
    propose_year_plan,
    withdraw_year_plan,
)
from inspections.models import Task, YearPlan
from inspections.planning.house import Task as PureTask
from inspections.queries.house_of import house_of
from inspections.queries.plans_in_force import plan_in_force
from tests.house import NOW
from tests.inspections.year.year_house import (
    DAYS,
    MONDAY,
    book,
    know_calendar,
    make_draft,
    make_winches,
    make_year_house,
)
from venue.models import Competence, LogLine

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> Any:
    return make_year_house()


def publish(house: Any, plan: YearPlan) -> int:
    return publish_year_plan(year_plan=plan, by=house.people["manager"], at=NOW)


def tasks(house: Any) -> list[tuple]:
    rows = Task.objects.filter(venue=house.venue).order_by("pk")
    return list(rows.values_list("pk", "planned_on", "person_id", "day_agreed", "deferred_why"))


def test_every_task_gets_its_day_and_its_person_with_a_line_in_the_log(house: Any) -> None:
    make_winches(house, 3)
    plan = make_draft(house)
    changed = publish(house, plan)
    rows = list(plan.planned.select_related("task"))
    assert changed == len([row for row in rows if row.task]) > 10
    leaders = dict(plan.planned.filter(crew__leads=True).values_list("pk", "crew__person_id"))
    for row in rows:
        assert row.task
        assert (row.task.planned_on, row.task.day_agreed) == (row.day, True)
        examined = row.examiner and house.people["examiner"].pk
        assert row.task.person_id == (examined or leaders[row.pk])
    assert LogLine.objects.filter(did="plan_task").count() == changed
    line = LogLine.objects.get(did="publish_year_plan")
    assert f'"tasks":"{changed}"' in line.body


@pytest.mark.parametrize("known_days", [400, 60, 35])
def test_no_task_is_published_after_its_last_lawful_day_unless_it_is_said_to_be_late(
    house: Any, known_days: int
) -> None:
    make_winches(house, 4)
    for away in range(0, 80, 3):
        book(house, MONDAY + timedelta(days=away), 8, 23, title=f"Guest {away}")
    know_calendar(house, MONDAY + timedelta(days=known_days))
    plan = make_draft(house)
    publish(house, plan)
    seen = late = 0
    for row in plan.planned.select_related("task"):
        seen += 1
        late += row.late_days > 0
        assert (row.day > row.last_lawful_on) == (row.late_days > 0)
        assert row.task
        if row.task.planned_on > row.task.last_lawful_on:
            assert row.task.deferred_why
    assert seen > 10 or known_days == 35
    said = plan.outcome["figures"]["late_days"]
    assert bool(said) == bool(plan.outcome["late"])
    assert said > 0 or not late


def test_a_show_added_since_refuses_the_plan_and_says_which_half_day(house: Any) -> None:
    plan = make_draft(house)
    row = plan.planned.first()
    assert row
    book(house, row.day, 8, 18)
    before = tasks(house)
    with pytest.raises(CannotPublish) as refused:
        publish(house, plan)
    assert any(
        f"{row.day:%-d %B %Y}" in words and "lacks" in words for words in refused.value.reasons
    )
    assert tasks(house) == before
    plan.refresh_from_db()
    assert plan.state == "draft"
    assert not LogLine.objects.filter(did="publish_year_plan").exists()


def test_a_task_done_or_cancelled_since_refuses_the_plan(house: Any) -> None:
    plan = make_draft(house)
    row = plan.planned.exclude(task=None).first()
    assert row
    cancel_task(task=row.task, why="Sold.", by=house.people["manager"], at=NOW)
    with pytest.raises(CannotPublish, match="has been done, cancelled or ended since"):
        publish(house, plan)


def test_people_who_have_left_since_refuse_the_plan(house: Any) -> None:
    plan = make_draft(house)
    house.venue.memberships.exclude(role="examiner").update(ended_on=NOW.date())
    with pytest.raises(CannotPublish, match="quarter-hours of people are missing"):
        publish(house, plan)


def test_days_that_have_passed_refuse_the_plan(house: Any) -> None:
    plan = make_draft(house)
    at = NOW + timedelta(days=40)
    with pytest.raises(CannotPublish, match="1 of its tasks lies before today"):
        publish_year_plan(year_plan=plan, by=house.people["manager"], at=at)


def test_a_plan_is_published_once_and_never_changed(house: Any) -> None:
    plan = make_draft(house)
    publish(house, plan)
    rows = list(plan.planned.order_by("pk").values_list())
    with pytest.raises(CannotPublish, match="published or not ready"):
        publish(house, plan)
    with pytest.raises(CannotChange, match="Copy it"):
        propose_year_plan(year_plan=plan, by=house.people["manager"], at=NOW)
    assert list(plan.planned.order_by("pk").values_list()) == rows


def test_the_next_plan_keeps_what_was_published_and_pays_for_what_it_moves(house: Any) -> None:
    plan = make_draft(house)
    publish(house, plan)
    found = house_of(house.venue, MONDAY, DAYS, NOW)
    assert len(found.house.agreed) == plan.planned.count()
    assert found.house.locked == frozenset()
    again = make_draft(house)
    same = [sorted(each.planned.values_list("plan_id", "day", "half")) for each in (plan, again)]
    assert same[0] == same[1]
    assert again.outcome["figures"]["moved"] == 0


def test_a_day_changed_by_hand_after_publishing_is_locked_in_the_next_plan(house: Any) -> None:
    plan = make_draft(house)
    publish(house, plan)
    row = plan.planned.exclude(task=None).filter(plan__regime="winch_ropes_monthly").first()
    assert row
    row.task.refresh_from_db()
    day = row.day - timedelta(days=1)
    change_task(
        task=row.task, planned_on=day, person=None, why="", by=house.people["manager"], at=NOW
    )
    found = house_of(house.venue, MONDAY, DAYS, NOW)
    key = found.keys[row.plan_id]
    assert {task.plan for task in found.house.locked} == {key}
    assert next(iter(found.house.locked)).slot // 2 == (day - MONDAY).days
    assert PureTask(key, 2 * (row.day - MONDAY).days) not in found.house.agreed


def test_a_task_locked_in_the_published_plan_stays(house: Any) -> None:
    plan = make_draft(house)
    row = plan.planned.first()
    assert row
    plan.planned.filter(pk=row.pk).update(locked=True)
    publish(house, plan)
    assert len(house_of(house.venue, MONDAY, DAYS, NOW).house.locked) == 1


def test_the_newest_published_plan_is_in_force_until_it_is_withdrawn(house: Any) -> None:
    first, odile = make_draft(house), house.people["manager"]
    publish(house, first)
    second = copy_year_plan(year_plan=first, name="What if", by=odile, at=NOW)
    publish_year_plan(year_plan=second, by=odile, at=NOW + timedelta(hours=1))
    assert plan_in_force(house.venue, MONDAY) == second
    with pytest.raises(CannotChange, match="Say why"):
        withdraw_year_plan(year_plan=second, why=" ", by=odile, at=NOW)
    withdraw_year_plan(year_plan=second, why="The tour is off.", by=odile, at=NOW)
    assert plan_in_force(house.venue, MONDAY) == first
    with pytest.raises(CannotChange, match="withdrawn already"):
        withdraw_year_plan(year_plan=second, why="Again.", by=odile, at=NOW)
    assert second.planned.count() == first.planned.count()


def test_the_database_refuses_a_published_plan_without_its_moment(house: Any) -> None:
    plan = make_draft(house)
    for wrong in ({"state": "published"}, {"state": "withdrawn"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            YearPlan.objects.filter(pk=plan.pk).update(**wrong)


def test_nobody_is_named_for_an_examination_that_two_examiners_could_do(house: Any) -> None:
    other = house.people["second"]
    Competence.objects.create(
        person=other, venue=house.venue, level="outside_examiner", certificate="Card 7",
        issued_by="College", valid_from=date(2024, 1, 1),
    )  # fmt: skip
    Task.objects.filter(plan__regime="thorough_twelve_months").update(
        due_on="2026-06-10", last_lawful_on="2026-06-10"
    )
    plan = make_draft(house)
    publish(house, plan)
    row = plan.planned.get(examiner="lifting")
    row.task.refresh_from_db()
    assert row.task.person is None
