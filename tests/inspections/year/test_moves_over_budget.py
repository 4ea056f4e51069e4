"""A move by hand that would exceed a budget says which and by how much, to whoever may see money, and
is done when that is meant."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.move_planned import MoveRefused, move_planned, undo_last_move
from inspections.actions.planning_settings import set_planning
from inspections.models import PlannedTask
from inspections.queries.year_budgets import spending_of_plan
from tests.house import NOW
from tests.inspections.planned_house import a_task, make_planned_house

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]
WITHOUT_MONEY = "A budget that the manager has set would be exceeded."


@pytest.fixture
def house() -> Iterator[Any]:
    """Its first task shares the machine locked off; in the other half of its day it would be locked
    off once more."""
    with time_machine.travel(NOW, tick=False):
        house = make_planned_house()
        house.task = a_task(house.year_plan)
        house.half = "am" if house.task.half == "pm" else "pm"
        yield house


def budget(house: Any, coins: int | None) -> None:
    amount = None if coins is None else Decimal(coins) / 100
    set_planning(
        venue=house.venue, fields={"year_budget": amount, "money_unit": "£"},
        by=house.people["manager"], at=NOW,
    )  # fmt: skip


def spent(house: Any) -> int:
    """What is planned, in the smallest coin; the budget is there to ask it."""
    budget(house, 1)
    house.year_plan.refresh_from_db()
    return spending_of_plan(house.year_plan)[0].planned


def move(house: Any, **more: Any) -> Any:
    task = PlannedTask.objects.get(pk=house.task.pk)
    return move_planned(
        planned=task,
        day=house.task.day,
        half=house.half,
        by=house.people["manager"],
        at=NOW,
        **more,
    )


def asked(house: Any, who: str = "manager") -> dict[str, Any]:
    client = Client()
    client.force_login(house.people[who])
    where = reverse("check_planned_move", args=["larkspur", house.task.pk])
    return client.get(where, {"day": str(house.task.day), "half": house.half}).json()


def sent(house: Any, **more: str) -> HttpResponse:
    client = Client()
    client.force_login(house.people["manager"])
    where = reverse("move_planned", args=["larkspur", house.task.pk])
    return client.post(where, {"day": str(house.task.day), "half": house.half, **more})


def words(response: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def stands(house: Any) -> str:
    return PlannedTask.objects.get(pk=house.task.pk).half


def dearer_by(house: Any) -> tuple[int, int]:
    """What is planned, and what the move really adds to it; then it is back."""
    before = spent(house)
    move(house, over_budget_is_meant=True)
    after = spent(house)
    undo_last_move(year_plan=house.year_plan, by=house.people["manager"], at=NOW)
    assert after > before
    return before, after - before


def money(coins: int) -> str:
    return f"£ {coins // 100:,}.{coins % 100:02}"


def test_the_check_names_the_budget_its_year_and_by_how_much(house: Any) -> None:
    planned, more = dearer_by(house)
    budget(house, planned)
    told = asked(house)
    assert told["words"][-1] == (
        f"The budget of 2026 for all inspections, {money(planned)}, would be exceeded by "
        f"{money(more)}."
    )
    assert (told["worse"], told["over"], told["late"], told["refused"]) == (
        True,
        True,
        False,
        False,
    )


def test_a_budget_that_is_exceeded_already_says_how_much_more_that_would_be(house: Any) -> None:
    planned, more = dearer_by(house)
    budget(house, planned - 700)
    assert asked(house)["words"][-1].endswith(
        f"would be exceeded by {money(700 + more)}: {money(more)} more than now."
    )


def test_a_budget_that_holds_is_not_spoken_of(house: Any) -> None:
    planned, more = dearer_by(house)
    for coins in (planned + more, None):
        budget(house, coins)
        told = asked(house)
        assert not any("budget" in said for said in told["words"])
        assert (told["worse"], told["over"]) == (False, False)


@pytest.mark.parametrize("who", ["competent", "stagehand", "examiner", "auditor"])
def test_who_sees_no_money_hears_only_that_a_budget_would_be_exceeded(house: Any, who: str) -> None:
    planned, _ = dearer_by(house)
    budget(house, planned)
    told = asked(house, who)
    assert told["words"][-1] == WITHOUT_MONEY
    assert "£" not in str(told)
    client = Client()
    client.force_login(house.people[who])
    to = {"day": str(house.task.day), "half": house.half}
    page = client.get(reverse("planned_task", args=["larkspur", house.task.pk]), to)
    assert WITHOUT_MONEY in words(page)
    assert "£" not in words(page)
    assert "would be exceeded by" not in words(page)


def test_it_is_moved_only_when_that_is_meant(house: Any) -> None:
    planned, more = dearer_by(house)
    budget(house, planned)
    with pytest.raises(MoveRefused, match=f"^{re.escape(WITHOUT_MONEY)}$"):
        move(house, late_is_meant=True)
    refusal = sent(house, late_is_meant="yes")
    assert refusal.status_code == 422
    assert f"would be exceeded by {money(more)}" in words(refusal)
    assert "Move it there all the same" in words(refusal)
    assert 'name="over_budget_is_meant" value="yes"' in refusal.content.decode()
    assert stands(house) != house.half
    assert sent(house, over_budget_is_meant="yes").status_code == 302
    assert stands(house) == house.half


def test_a_late_move_is_not_done_because_the_budget_was_meant(house: Any) -> None:
    budget(house, 1)
    house.task.day = house.task.last_lawful_on.replace(day=house.task.last_lawful_on.day + 2)
    assert sent(house, over_budget_is_meant="yes").status_code == 422


def test_the_check_asks_no_more_of_a_larger_plan(house: Any) -> None:
    budget(house, 1)
    costs = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as queries:
            asked(house)
        costs.append((house.year_plan.planned.count(), len(queries)))
        last = house.year_plan.planned.exclude(plan=house.task.plan)
        PlannedTask.objects.filter(pk__in=last.values_list("pk", flat=True)[:3]).delete()
    (many, for_many), (few, for_few) = costs
    assert (many > few, for_many) == (True, for_few)
