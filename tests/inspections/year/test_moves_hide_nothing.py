"""A move by hand, or its undoing, forgives nothing that it did not bring about itself."""

from __future__ import annotations

from datetime import date, timedelta
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps

from inspections.actions.lock_planned import set_locked
from inspections.actions.move_planned import (
    MoveRefused,
    TaskLocked,
    move_planned,
    undo_last_move,
)
from inspections.actions.plans import end_plan
from inspections.actions.publish_year_plan import CannotPublish, publish_year_plan
from inspections.actions.year_plan_states import copy_year_plan
from inspections.models import PlannedTask, YearPlan
from inspections.queries.check_year_plan import check_year_plan
from tests.guards import unguarded
from tests.house import NOW
from tests.inspections.year.year_house import (
    book,
    make_draft,
    make_winches,
    make_year_house,
)
from venue.models import Competence

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> Any:
    house = make_year_house()
    make_winches(house, 2)
    return house


def first_of(plan: YearPlan, tag: str) -> PlannedTask:
    rows = plan.planned.filter(plan__regime="winch_ropes_monthly", equipment__tag=tag)
    return rows.order_by("day")[0]


def move(house: Any, row: PlannedTask, day: date, *, late_is_meant: bool = False) -> None:
    move_planned(
        planned=row, day=day, half=row.half, by=house.people["manager"], at=NOW,
        late_is_meant=late_is_meant,
    )  # fmt: skip


def undo(house: Any, plan: YearPlan) -> None:
    assert undo_last_move(year_plan=plan, by=house.people["manager"], at=NOW)


def publish(house: Any, plan: YearPlan) -> int:
    return publish_year_plan(year_plan=plan, by=house.people["manager"], at=NOW)


def test_a_show_put_on_a_planned_half_day_is_not_forgiven_by_moving_another_task(
    house: Any,
) -> None:
    plan = make_draft(house)
    shown, other = first_of(plan, "W1"), first_of(plan, "W2")
    move(house, other, other.day - timedelta(days=1), late_is_meant=True)
    book(house, shown.day, 8, 18)
    other.refresh_from_db()
    move(house, other, other.day - timedelta(days=1), late_is_meant=True)
    with pytest.raises(CannotPublish, match=f"{shown.day:%-d %B %Y}.* lacks"):
        publish(house, plan)
    undo(house, plan)
    with pytest.raises(CannotPublish, match=f"{shown.day:%-d %B %Y}.* lacks"):
        publish(house, plan)


def test_nor_is_a_certificate_that_has_lapsed(house: Any) -> None:
    plan = make_draft(house)
    last = plan.planned.exclude(equipment__tag="W2").order_by("-day")[0]
    other = first_of(plan, "W2")
    assert last.day > other.day + timedelta(days=7)
    with unguarded():
        Competence.objects.exclude(level="outside_examiner").update(
            expires_on=other.day + timedelta(days=7)
        )
    move(house, other, other.day - timedelta(days=1), late_is_meant=True)
    with pytest.raises(CannotPublish, match="quarter-hours of people are missing"):
        publish(house, plan)


def test_a_plan_that_was_made_with_a_fault_is_not_published_either(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan, "W1")
    book(house, row.day, 8, 18)
    said = check_year_plan(plan, NOW).faults
    assert said
    YearPlan.objects.filter(pk=plan.pk).update(outcome=plan.outcome | {"faults": said})
    with pytest.raises(CannotPublish, match="lacks"):
        publish(house, plan)


def brought_late(house: Any, plan: YearPlan, days: int) -> None:
    """The first check of W1 is lawful so many days less long than its planned day."""
    row = first_of(plan, "W1")
    earlier = row.day - timedelta(days=days)
    row.plan.tasks.filter(state="open", pk=row.task_id).update(
        due_on=earlier, last_lawful_on=earlier
    )


def test_nor_is_a_day_that_has_become_too_late_since(house: Any) -> None:
    plan = make_draft(house)
    other = first_of(plan, "W2")
    brought_late(house, plan, 3)
    move(house, other, other.day - timedelta(days=1), late_is_meant=True)
    with pytest.raises(CannotPublish, match="would now be 3 days late; the plan said 0"):
        publish(house, plan)
    undo(house, plan)
    with pytest.raises(CannotPublish, match="would now be 3 days late; the plan said 0"):
        publish(house, plan)


def test_what_was_said_to_be_meant_late_is_published(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan, "W1")
    move(house, row, row.last_lawful_on + timedelta(days=2), late_is_meant=True)
    publish(house, plan)
    row.refresh_from_db()
    assert row.late_days == 2
    assert row.task
    assert row.task.planned_on == row.day


def test_only_as_late_as_it_was_meant(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan, "W1")
    move(house, row, row.last_lawful_on + timedelta(days=2), late_is_meant=True)
    row.plan.tasks.filter(pk=row.task_id).update(
        due_on=row.due_on - timedelta(days=4), last_lawful_on=row.last_lawful_on - timedelta(days=4)
    )
    with pytest.raises(CannotPublish, match="would now be 6 days late; the plan said 2"):
        publish(house, plan)


def test_a_late_move_taken_back_allows_no_lateness_any_more(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan, "W1")
    before = plan.outcome["known_late"]
    move(house, row, row.last_lawful_on + timedelta(days=2), late_is_meant=True)
    plan.refresh_from_db()
    assert plan.outcome["known_late"] != before
    undo(house, plan)
    plan.refresh_from_db()
    assert plan.outcome["known_late"] == before
    brought_late(house, plan, 1)
    with pytest.raises(CannotPublish, match="would now be 1 day late; the plan said 0"):
        publish(house, plan)


def test_a_move_that_makes_less_late_takes_the_leave_for_it_away(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan, "W1")
    lawful = row.last_lawful_on
    move(house, row, lawful + timedelta(days=2), late_is_meant=True)
    move(house, first_of(plan, "W1"), lawful + timedelta(days=1))
    plan.refresh_from_db()
    assert sum(plan.outcome["known_late"].values()) == 1
    row.plan.tasks.filter(pk=row.task_id).update(
        due_on=lawful - timedelta(days=1), last_lawful_on=lawful - timedelta(days=1)
    )
    with pytest.raises(CannotPublish, match="would now be 2 days late; the plan said 1"):
        publish(house, plan)


def test_a_move_is_not_taken_back_to_a_half_day_that_a_show_holds_since(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan, "W1")
    before = row.day
    move(house, row, row.day - timedelta(days=1), late_is_meant=True)
    book(house, before, 8, 18)
    with pytest.raises(MoveRefused, match=f"{before:%-d %B %Y}.* lacks"):
        undo_last_move(year_plan=plan, by=house.people["manager"], at=NOW)
    row.refresh_from_db()
    assert row.day == before - timedelta(days=1)
    assert plan.moves.filter(undone_at=None).count() == 1


def test_a_locked_task_is_not_moved_back_either(house: Any) -> None:
    plan, odile = make_draft(house), house.people["manager"]
    row = first_of(plan, "W1")
    move(house, row, row.day - timedelta(days=1), late_is_meant=True)
    set_locked(planned=row, locked=True, by=odile, at=NOW)
    with pytest.raises(TaskLocked):
        undo_last_move(year_plan=plan, by=odile, at=NOW)
    set_locked(planned=row, locked=False, by=odile, at=NOW)
    undo(house, plan)


def test_a_move_of_what_has_ended_since_is_refused_in_words(house: Any) -> None:
    plan, odile = make_draft(house), house.people["manager"]
    row = first_of(plan, "W2")
    move(house, row, row.day - timedelta(days=1), late_is_meant=True)
    end_plan(plan=row.plan, why="Sold.", by=odile, at=NOW)
    with pytest.raises(MoveRefused, match="has ended since"):
        undo_last_move(year_plan=plan, by=odile, at=NOW)


def test_drafts_from_before_say_what_they_may_be_late_by_where_that_is_known(house: Any) -> None:
    early = make_draft(house)
    late = early.outcome | {"late": {"W1: Ropes": 2}}
    late.pop("known_late")
    YearPlan.objects.filter(pk=early.pk).update(outcome=late)
    moved = make_draft(house)
    YearPlan.objects.filter(pk=moved.pk).update(outcome=late | {"moved_by_hand": 1})
    import_module("inspections.migrations.0032_known_late").keep_what_was_known(apps, None)
    known = dict(YearPlan.objects.values_list("pk", "outcome__known_late"))
    assert known == {early.pk: {"W1: Ropes": 2}, moved.pk: {}}


def test_a_copy_forgives_what_its_original_does_and_no_more(house: Any) -> None:
    plan = make_draft(house)
    row = first_of(plan, "W1")
    move(house, row, row.last_lawful_on + timedelta(days=2), late_is_meant=True)
    plan.refresh_from_db()
    copy = copy_year_plan(year_plan=plan, name="What if", by=house.people["manager"], at=NOW)
    assert copy.outcome["known_late"] == plan.outcome["known_late"]
    assert [(each.to_day, each.planned.plan) for each in copy.moves.all()] == [
        (row.last_lawful_on + timedelta(days=2), row.plan)
    ]
    other = copy_year_plan(year_plan=plan, name="Back", by=house.people["manager"], at=NOW)
    undo(house, other)
    assert first_of(other, "W1").day == row.day
    assert first_of(copy, "W1").day > row.day
    assert publish(house, copy)
