"""A manager says of a task of the plan in force that it stays where it is, and takes that back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from inspections.actions.lock_planned import set_locked
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.tasks import cancel_task, change_task
from inspections.actions.year_plan_states import CannotChange, copy_year_plan, withdraw_year_plan
from inspections.models import PlannedTask, YearPlan
from inspections.planning.house import Task as PureTask
from inspections.queries.house_of import house_of
from tests.house import NOW
from tests.inspections.year.year_house import (
    DAYS,
    MONDAY,
    book,
    make_draft,
    make_winches,
    make_year_house,
)
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house() -> Iterator[Any]:
    with time_machine.travel(NOW, tick=False):
        house = make_year_house()
        make_winches(house, 1)
        house.year_plan = make_draft(house)
        publish(house, house.year_plan)
        yield house


def publish(house: Any, plan: YearPlan, hours: int = 0) -> None:
    publish_year_plan(year_plan=plan, by=house.people["manager"], at=NOW + timedelta(hours=hours))


def a_row(plan: YearPlan) -> PlannedTask:
    rows = plan.planned.filter(plan__regime="winch_ropes_monthly", equipment__tag="W1")
    return rows.select_related("task", "equipment", "plan__version").order_by("day")[0]


def lock(house: Any, row: PlannedTask, locked: bool = True) -> None:
    set_locked(planned=row, locked=locked, by=house.people["manager"], at=NOW)


def kept(house: Any) -> frozenset[PureTask]:
    """What the next search may not move."""
    return house_of(house.venue, MONDAY, DAYS, NOW).house.locked


def pure(row: PlannedTask) -> PureTask:
    key = f"{row.equipment.tag}: {row.plan.version.title}"
    return PureTask(key, 2 * (row.day - MONDAY).days + (row.half == "pm"))


def page(house: Any, name: str, pk: int, who: str = "manager", **sent: str) -> Any:
    client = Client()
    client.force_login(house.people[who])
    where = reverse(name, args=["larkspur", pk])
    return client.post(where, sent) if sent else client.get(where, {"day": str(MONDAY)})


def words(response: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def test_a_task_of_the_plan_in_force_is_locked_and_the_next_plan_keeps_it(house: Any) -> None:
    row = a_row(house.year_plan)
    lock(house, row)
    assert kept(house) == {pure(row)}
    again = make_draft(house)
    same = a_row(again)
    assert (same.day, same.half, same.locked) == (row.day, row.half, True)
    publish(house, again, hours=1)
    assert kept(house) == {pure(row)}, "and the one after that"


def test_unlocked_the_next_plan_is_free_to_move_it(house: Any) -> None:
    row = a_row(house.year_plan)
    lock(house, row)
    lock(house, row, locked=False)
    assert kept(house) == frozenset()
    did = LogLine.objects.filter(did__endswith="lock_planned_task").order_by("number")
    assert [line.did for line in did] == ["lock_planned_task", "unlock_planned_task"]
    assert {line.by for line in did} == {house.people["manager"]}


def test_what_was_locked_before_publishing_can_be_unlocked(house: Any) -> None:
    draft = make_draft(house)
    lock(house, a_row(draft))
    publish(house, draft, hours=1)
    assert kept(house) == {pure(a_row(draft))}
    lock(house, a_row(draft), locked=False)
    assert kept(house) == frozenset()


def test_a_lock_that_cannot_be_kept_any_more_is_let_go_and_said(house: Any) -> None:
    row = a_row(house.year_plan)
    lock(house, row)
    book(house, row.day, 8, 20)
    found = house_of(house.venue, MONDAY, DAYS, NOW)
    assert found.house.locked == frozenset()
    assert any("cannot be kept" in said and "W1" in said for said in found.unknowns)


def test_nothing_else_of_the_plan_changes(house: Any) -> None:
    before = list(house.year_plan.planned.order_by("pk").values())
    row = a_row(house.year_plan)
    lock(house, row)
    after = list(house.year_plan.planned.order_by("pk").values())
    changed = [
        (one["id"], name)
        for one, two in zip(before, after, strict=True)
        for name in one
        if one[name] != two[name]
    ]
    assert changed == [(row.pk, "locked")]


def by_hand(house: Any, row: PlannedTask) -> None:
    change_task(
        task=row.task, planned_on=row.day - timedelta(days=1), person=None, why="",
        by=house.people["manager"], at=NOW,
    )  # fmt: skip


def cancelled(house: Any, row: PlannedTask) -> None:
    cancel_task(task=row.task, why="Sold.", by=house.people["manager"], at=NOW)


def replaced(house: Any, row: PlannedTask) -> None:
    other = copy_year_plan(
        year_plan=house.year_plan, name="Other", by=house.people["manager"], at=NOW
    )
    publish(house, other, hours=1)


def withdrawn(house: Any, row: PlannedTask) -> None:
    withdraw_year_plan(year_plan=house.year_plan, why="Off.", by=house.people["manager"], at=NOW)


@pytest.mark.parametrize(
    ("happened", "said"),
    [
        (by_hand, "A person has set the day of this task"),
        (cancelled, "done or cancelled"),
        (replaced, "Another plan is in force on that day"),
        (withdrawn, "This plan is withdrawn"),
    ],
)
def test_a_lock_that_no_plan_would_hear_is_refused_in_words(
    house: Any, happened: Any, said: str
) -> None:
    row = a_row(house.year_plan)
    happened(house, row)
    with pytest.raises(CannotChange, match=said):
        lock(house, row)
    assert not PlannedTask.objects.filter(locked=True).exists()
    shown = page(house, "planned_task", row.pk)
    assert reverse("lock_planned", args=["larkspur", row.pk]) not in shown.content.decode()


def test_a_day_that_is_past_is_not_locked(house: Any) -> None:
    row = a_row(house.year_plan)
    later = NOW + timedelta(days=(row.day - NOW.date()).days + 1)
    with pytest.raises(CannotChange, match="Its day is past"):
        set_locked(planned=row, locked=True, by=house.people["manager"], at=later)


@pytest.mark.parametrize("name", ["planned_task", "year_board"])
def test_page_and_board_offer_the_lock_to_whoever_may_plan(house: Any, name: str) -> None:
    row = a_row(house.year_plan)
    pk, form = row.pk, f'action="{reverse("lock_planned", args=["larkspur", row.pk])}"'
    where = pk if name == "planned_task" else house.year_plan.pk
    assert form in page(house, name, where).content.decode()
    back = reverse(name, args=["larkspur", where])
    assert page(house, "lock_planned", pk, locked="yes", back=back).url == back
    assert "Unlock" in words(page(house, name, where))
    assert PlannedTask.objects.get(pk=pk).locked
    for who in ("competent", "stagehand", "examiner", "auditor"):
        shown = page(house, name, where, who).content.decode()
        assert form not in shown
        assert "data-board-lock" not in shown
        assert page(house, "lock_planned", pk, who, locked="no").status_code == 403
    assert PlannedTask.objects.get(pk=pk).locked
    page(house, "lock_planned", pk, locked="no")
    assert not PlannedTask.objects.get(pk=pk).locked


def test_the_board_says_what_a_lock_of_a_published_plan_does(house: Any) -> None:
    said = words(page(house, "year_board", house.year_plan.pk))
    assert "every plan that follows keeps what is locked" in said
    assert "every plan that follows" not in words(
        page(house, "year_board", house.year_plan.pk, "auditor")
    ).split("How to read the board")[0]  # fmt: skip


def test_the_plan_in_force_can_be_planned_again_from_its_page(house: Any) -> None:
    again = reverse("plan_year_again", args=["larkspur", house.year_plan.pk])
    assert again in page(house, "year_plan", house.year_plan.pk).content.decode()
    replaced(house, a_row(house.year_plan))
    assert again not in page(house, "year_plan", house.year_plan.pk).content.decode()
