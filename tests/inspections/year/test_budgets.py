"""A budget of a year: what is planned against it is said, and nothing is left out for it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from inspections.actions.move_planned import move_planned
from inspections.actions.planning_settings import set_examiner_trade, set_planning
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.models import ExaminerTrade, PlanningSettings, YearPlan
from inspections.queries.year_budgets import budgets_of, spending_of_plan
from inspections.queries.year_money import forecast_of
from inspections.year_budget import ALL_WORK, Budgets, spending_of
from tests.house import NOW
from tests.inspections.year.test_planning_settings import WHOLE
from tests.inspections.year.year_house import make_draft, make_year_house
from venue.models import LogLine

pytestmark = pytest.mark.django_db
LAW = "no task is left out and none is put after its last lawful day for money"


@pytest.fixture
def house() -> Iterator[Any]:
    with time_machine.travel(NOW, tick=False):
        yield make_year_house()


def budget(house: Any, amount: str | None) -> None:
    fields = {"year_budget": None if amount is None else Decimal(amount), "money_unit": "£"}
    set_planning(venue=house.venue, fields=fields, by=house.people["manager"], at=NOW)


def page(house: Any, name: str, *pk: int, who: str = "manager", typed: Any = None) -> str:
    client = Client()
    client.force_login(house.people[who])
    where = reverse(name, args=["larkspur", *pk])
    got = client.get(where) if typed is None else client.post(where, typed, follow=True)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", got.content.decode()))


def test_a_manager_enters_a_budget_and_takes_it_out_again(house: Any) -> None:
    page(house, "planning_settings", typed=WHOLE | {"year_budget": "12500"})
    assert PlanningSettings.objects.get().year_budget == 12500
    assert budgets_of(house.venue).all_work == 1_250_000
    assert "12500" in str(LogLine.objects.filter(did="set_planning").latest("number").body)
    page(house, "planning_settings", typed=WHOLE | {"year_budget": ""})
    assert budgets_of(house.venue) == Budgets(None, {})
    page(house, "planning_settings", typed=WHOLE | {"year_budget": "-1"})
    assert PlanningSettings.objects.get().year_budget is None


def test_without_a_budget_a_plan_says_nothing_of_one(house: Any) -> None:
    plan = make_draft(house)
    for name in ("year_plan", "year_cost"):
        assert "Against the budget" not in page(house, name, plan.pk)
    assert spending_of_plan(plan) == []


def test_the_law_goes_first_a_budget_of_nothing_leaves_no_task_out(house: Any) -> None:
    free = make_draft(house)
    budget(house, "0")
    plan = make_draft(house)
    rows = [sorted(each.planned.values_list("plan_id", "day", "half")) for each in (free, plan)]
    assert rows[0] == rows[1] != []
    (spent,) = spending_of_plan(plan)
    assert (spent.of, spent.budget, spent.over, spent.left) == (ALL_WORK, 0, spent.planned, 0)
    assert spent.planned == forecast_of(plan, NOW).total.cost.total > 0
    said = page(house, "year_plan", plan.pk)
    assert (
        f"Over budget. 2026, all inspections: £ {spent.cells[0]} over the budget of £ 0.00" in said
    )
    assert LAW in said
    assert f"{spent.cells[2]} over" in page(house, "year_cost", plan.pk)


def test_over_budget_is_said_after_publishing_and_against_the_budget_of_now(house: Any) -> None:
    plan = make_draft(house)
    publish_year_plan(year_plan=plan, by=house.people["manager"], at=NOW)
    budget(house, "1")
    assert "Over budget." in page(house, "year_plan", plan.pk)
    budget(house, "9000000")
    said = page(house, "year_plan", plan.pk)
    assert "Over budget." not in said
    assert re.search(r"9,000,000\.00 [\d,.]+ left", said)
    assert "91 of 365 days" in said


def test_the_visits_of_a_trade_have_a_budget_of_their_own(house: Any) -> None:
    fields = {"year_budget": Decimal("100.00")}
    set_examiner_trade(
        venue=house.venue, slug="lifting", fields=fields, by=house.people["manager"], at=NOW
    )
    assert ExaminerTrade.objects.get().year_budget == 100
    plan = make_draft(house)
    fees = forecast_of(plan, NOW).total.cost.examiners
    (spent,) = spending_of_plan(plan)
    assert (spent.planned, spent.budget) == (fees, 10_000)
    assert spent.of != "lifting", "said in words"


def test_a_move_by_hand_is_counted_again(house: Any) -> None:
    budget(house, "1")
    plan = make_draft(house)
    row = plan.planned.order_by("day").first()
    half = "am" if row.half == "pm" else "pm"
    YearPlan.objects.filter(pk=plan.pk).update(outcome=plan.outcome | {"paid": {}})
    plan.refresh_from_db()
    assert spending_of_plan(plan) == []
    row.refresh_from_db()
    move_planned(
        planned=row, day=row.day, half=half, by=house.people["manager"], at=NOW, late_is_meant=True
    )
    plan.refresh_from_db()
    assert spending_of_plan(plan)[0].planned == forecast_of(plan, NOW).total.cost.total


def test_each_calendar_year_is_held_against_its_own_budget(house: Any) -> None:
    plan = make_draft(house, first_day=date(2026, 12, 1), days=62)
    assert {year: told["days"] for year, told in plan.outcome["paid"].items()} == {
        "2026": 31, "2027": 31,
    }  # fmt: skip
    budget(house, "1000")
    spent = spending_of_plan(plan)
    assert [each.year for each in spent] == [2026, 2027]
    assert plan.last_day == date(2026, 12, 1) + timedelta(days=61)


def test_a_year_that_is_just_spent_is_not_over() -> None:
    paid = {"2028": {"days": 366, "total": 1000, "trades": {}}}
    (spent,) = spending_of(paid, Budgets(1000), {})
    assert (spent.over, spent.left, spent.days_of_year) == (0, 0, 366)
    (spent,) = spending_of(paid, Budgets(999), {})
    assert (spent.over, spent.told["over"]) == (1, 0.01)


@pytest.mark.parametrize("who", ["competent", "stagehand", "examiner", "auditor"])
def test_a_budget_is_seen_by_those_who_see_money_only(house: Any, who: str) -> None:
    budget(house, "1")
    plan = make_draft(house)
    assert "budget" not in page(house, "year_plan", plan.pk, who=who).lower()
