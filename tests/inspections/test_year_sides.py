"""A planned year against the plan in force, in money by month, and as half-days to leave dark."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from inspections.actions.move_planned import move_planned
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.actions.year_plan_states import copy_year_plan
from inspections.dark_half_days import leave_dark
from inspections.models import YearPlan
from inspections.month_costs import month_costs
from inspections.planning.evaluate import evaluate
from inspections.queries.check_year_plan import check_year_plan
from inspections.queries.year_changes import Changes, changes_of
from inspections.queries.year_money import forecast_of
from inspections.year_changes import Planned, pairs_of
from tests.house import NOW
from tests.inspections.planned_house import DAYS, FIRST, hold, make_planned_house
from venue.models import Booking

pytestmark = pytest.mark.django_db
# Any sum, and the words for what stays the same.
AMOUNT = re.compile(r"\b\d[\d,]*\.\d\d\b|cost stays the same")


@pytest.fixture
def house() -> Iterator[Any]:
    with time_machine.travel(NOW, tick=False):
        yield make_planned_house()


def publish(house: Any, plan: YearPlan | None = None) -> None:
    publish_year_plan(year_plan=plan or house.year_plan, by=house.people["manager"], at=NOW)


def replanned(house: Any) -> YearPlan:
    return make_quick_plan(
        venue=house.venue, first_day=FIRST, days=DAYS, by=house.people["manager"], at=NOW
    )


def changes(plan: YearPlan) -> Changes:
    found = changes_of(plan, NOW)
    assert found
    return found


def page(house: Any, name: str, plan: YearPlan | None = None, who: str = "manager") -> str:
    client = Client()
    client.force_login(house.people[who])
    where = reverse(name, args=["larkspur", (plan or house.year_plan).pk])
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", client.get(where).content.decode()))


# -- before and after ------------------------------------------------------------------------------
def one(key: int, day: int, plan: int = 1, task: int | None = None, **more: Any) -> Planned:
    return Planned(key, plan, task, date(2027, 3, day), "am", "W1", **more)


def what(before: list[Planned], after: list[Planned]) -> list[str]:
    return [pair.what for pair in pairs_of(before, after)]


def test_a_task_is_followed_by_its_own_number_even_past_another_of_its_plan() -> None:
    before = [one(1, 3, task=11), one(2, 10, task=12)]
    after = [one(3, 12, task=11), one(4, 10, task=12)]
    assert what(before, after) == ["kept", "moved"]
    assert pairs_of(before, after)[1].days == 9


def test_a_task_without_a_number_is_followed_by_its_order_within_its_plan() -> None:
    assert what([one(1, 3), one(2, 10)], [one(3, 3), one(4, 11), one(5, 20)]) == [
        "kept", "moved", "added",
    ]  # fmt: skip
    assert what([one(1, 3)], []) == ["dropped"]


def test_two_dated_tasks_of_one_plan_are_never_told_as_one_that_moved() -> None:
    """The last of the old plan falls out at its end, the first of the new one comes before it."""
    before = [one(1, 10, task=12), one(2, 28, task=13)]
    after = [one(3, 1, task=11), one(4, 12, task=12)]
    assert what(before, after) == ["added", "moved", "dropped"]
    assert what([one(1, 3, task=11)], [one(2, 5, task=12)]) == ["dropped", "added"]


def test_what_has_no_number_yet_may_have_got_one_since() -> None:
    assert what([one(1, 3), one(2, 10)], [one(3, 3, task=11), one(4, 12)]) == ["kept", "moved"]


def test_other_people_on_the_same_half_day_are_told_as_that() -> None:
    assert what([one(1, 3, people=("Tam",))], [one(2, 3, people=("Priya",))]) == ["people changed"]


def test_the_same_house_planned_again_changes_nothing(house: Any) -> None:
    publish(house)
    found = changes(replanned(house))
    assert (found.counts["moved"], found.kept) == (0, house.year_plan.planned.count())
    assert found.money == "0.00"


def test_a_task_moved_by_a_new_booking_names_the_booking(house: Any) -> None:
    publish(house)
    taken = house.year_plan.planned.filter(day__month=7).first().day
    hold(house, taken, taken, "performance")
    found = changes(replanned(house))
    moved = [each for each in found.changes if each.pair.what == "moved"]
    assert len(moved) >= 1
    assert all(each.pair.before.day != each.pair.after.day for each in moved)
    assert any("Brass and Bunting (Performance) now. Missing for it:" in e.why for e in moved)


def test_a_move_that_nothing_forces_is_told_with_what_going_back_would_cost(house: Any) -> None:
    publish(house)
    copy = copy_year_plan(
        year_plan=house.year_plan, name="What if", by=house.people["manager"], at=NOW
    )
    task = copy.planned.filter(equipment__tag="W2").first()
    move_planned(planned=task, day=task.day, half="am", by=house.people["manager"], at=NOW)
    (change,) = changes(YearPlan.objects.get(pk=copy.pk)).changes[:1]
    assert change.pair.what == "moved"
    assert change.pair.days_words == "to the other half of the day"
    assert "would" in change.why


def test_the_page_tells_counts_money_and_reasons(house: Any) -> None:
    publish(house)
    taken = house.year_plan.planned.filter(day__month=7).first().day
    hold(house, taken, taken, "performance")
    plan = replanned(house)
    said = page(house, "year_changes", plan)
    assert f" moved {changes(plan).counts['moved']} added" in said
    for words in ("What changes", "Both plans in figures", "Brass and Bunting", "as they were"):
        assert words in said


def test_a_plan_with_nothing_in_force_has_nothing_to_be_compared_with(house: Any) -> None:
    assert "Nothing to compare it with" in page(house, "year_changes")
    publish(house)
    assert "Nothing to compare it with" in page(house, "year_changes")


# -- money -----------------------------------------------------------------------------------------
def test_the_months_together_are_what_the_evaluator_counts(house: Any) -> None:
    checked = check_year_plan(house.year_plan, NOW)
    parts = evaluate(checked.found.house, checked.rows).parts
    months = month_costs(checked.found.house, checked.rows)
    assert sum(month.work for month in months) == parts["tasks"] > 0
    assert sum(month.set_ups for month in months) == parts["set-ups"] > 0
    assert sum(month.examiners for month in months) == parts["examiners"]
    assert sum(month.overtime for month in months) == parts["overtime"]
    assert sum(month.tasks for month in months) == len(checked.rows)
    assert [month.first.month for month in months] == [6, 7, 8]


def test_the_file_holds_a_line_a_month_in_numbers_a_program_reads(house: Any) -> None:
    client = Client()
    client.force_login(house.people["manager"])
    where = reverse("year_cost_file", args=["larkspur", house.year_plan.pk])
    text = client.get(where).content.decode()
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["month"] for row in rows] == [f"2026-{month:02}" for month in range(6, 9)]
    total = sum(float(row["total"]) for row in rows)
    assert total == pytest.approx(forecast_of(house.year_plan, NOW).total.cost.total / 100)
    assert total > 0


def test_the_cost_page_says_what_it_is_not(house: Any) -> None:
    said = page(house, "year_cost", who="manager")
    assert "It is a forecast and no offer." in said
    assert "Jul 2026" in said
    assert "machine locked off (Stage)" in said


SEES_NO_MONEY = ("competent", "stagehand", "examiner", "auditor")


@pytest.mark.parametrize("who", SEES_NO_MONEY)
def test_whoever_may_not_see_money_gets_no_cost_page_and_no_amount(house: Any, who: str) -> None:
    """Fees and wages are nobody's business but a manager's: no page of a plan tells one."""
    publish(house)
    taken = house.year_plan.planned.filter(day__month=7).first().day
    hold(house, taken, taken, "performance")
    plan = replanned(house)
    row = plan.planned.first()
    pages = {
        "year_plan": plan.pk, "year_changes": plan.pk, "year_papers": plan.pk, "year_dark": plan.pk,
        "year_board": plan.pk, "year_tasks": plan.pk, "planned_task": row.pk,
        "check_planned_move": row.pk,
    }  # fmt: skip
    told = {
        role: {name: answer(house, name, pk, role) for name, pk in pages.items()}
        for role in (who, "manager")
    }
    amounts = {
        role: {name for name, text in of.items() if AMOUNT.search(text)}
        for role, of in told.items()
    }
    assert amounts[who] == set()
    assert amounts["manager"] == {"year_plan", "year_changes", "planned_task", "check_planned_move"}
    assert "year/" + str(plan.pk) + "/cost" not in "".join(told[who].values())
    for name in ("year_cost", "year_cost_file"):
        client = Client()
        client.force_login(house.people[who])
        assert client.get(reverse(name, args=["larkspur", plan.pk])).status_code == 403


def answer(house: Any, name: str, pk: int, who: str) -> str:
    client = Client()
    client.force_login(house.people[who])
    asked = {"day": str(FIRST + timedelta(days=50)), "half": "am"}
    got = client.get(reverse(name, args=["larkspur", pk]), asked)
    assert got.status_code == 200
    return got.content.decode()


# -- dark half-days --------------------------------------------------------------------------------
def test_every_half_day_in_which_a_task_needs_the_house_is_asked_for_once(house: Any) -> None:
    checked = check_year_plan(house.year_plan, NOW)
    asked = leave_dark(checked.found.house, checked.rows)
    needed = {task.slot for task in checked.rows if checked.found.house.plan_of[task.plan].access}
    assert [each.slot for each in asked] == sorted(needed)
    assert sum(len(each.tasks) for each in asked) == len(checked.rows)


def test_a_half_day_with_no_lawful_one_in_its_place_is_told_first(house: Any) -> None:
    task = house.year_plan.planned.filter(day__month=7).first()
    hold(house, FIRST, task.day - timedelta(days=1))
    hold(house, task.day + timedelta(days=1), FIRST + timedelta(days=DAYS - 1))
    assert task.half == "pm"
    morning = hold(house, task.day, task.day)
    Booking.objects.filter(pk=morning.pk).update(ends=morning.starts + timedelta(hours=4))
    said = page(house, "year_dark")
    assert "Must stay as they are" in said
    assert "Leave these half-days dark" in said


def test_each_side_costs_the_same_queries_for_few_tasks_as_for_many(
    house: Any, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    publish(house)
    copy = copy_year_plan(year_plan=house.year_plan, name="", by=house.people["manager"], at=NOW)
    counts: dict[str, list[int]] = {}
    for _ in range(2):
        for name in ("year_changes", "year_cost", "year_dark"):
            with django_assert_max_num_queries(52) as asked:
                page(house, name, copy)
            counts.setdefault(name, []).append(len(asked))
        keep = copy.planned.filter(day__month=7).first().pk
        copy.planned.exclude(pk=keep).delete()
    assert all(many == few for many, few in counts.values()), counts
