"""What is late, past its day, done, cancelled or redated is told as that on every page of a plan."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.models import PlannedTask, Task, YearPlan
from inspections.queries import year_plans
from tests.house import NOW
from tests.inspections.planned_house import DAYS, FIRST, a_task, make_planned_house

pytestmark = pytest.mark.django_db
PAST = "its planned day is past"


@pytest.fixture
def house() -> Iterator[Any]:
    with time_machine.travel(NOW, tick=False):
        yield make_planned_house()


@pytest.fixture
def published(house: Any) -> Any:
    publish_year_plan(year_plan=house.year_plan, by=house.people["manager"], at=NOW)
    house.row = a_task(house.year_plan)
    # What was due before the plan began has been done, as the plan took for granted.
    Task.objects.filter(planned_on__lt=FIRST).update(state="done", done_on=NOW.date())
    for row in house.year_plan.planned.exclude(task=None):
        dates = {"due_on": row.due_on, "last_lawful_on": row.last_lawful_on}
        Task.objects.filter(pk=row.task_id).update(**dates)
    return house


def on(day: date) -> Any:
    """That noon."""
    return time_machine.travel(datetime.combine(day, NOW.timetz()), tick=False)


def html(house: Any, name: str, pk: int | None = None, **asked: str) -> str:
    client = Client()
    client.force_login(house.people["manager"])
    where = reverse(name, args=["larkspur", pk or house.year_plan.pk])
    return client.get(where, asked).content.decode()


def words(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


def line_of(house: Any, row: PlannedTask) -> str:
    """The row of the list below the board."""
    page = html(house, "year_board", zoom="month", day=str(row.day))
    found = re.search(rf'<tr id="task-{row.pk}".*?</tr>', page, re.DOTALL)
    assert found
    return found[0]


def every_telling(house: Any, row: PlannedTask) -> dict[str, str]:
    """The row as the board, its JSON, all tasks, the plan's page and its own page tell it."""
    board = html(house, "year_board", zoom="month", day=str(row.day))
    facts = re.search(r'<script id="board-facts"[^>]*>(.*?)</script>', board, re.DOTALL)
    assert facts
    tasks = html(house, "year_tasks")
    plan = html(house, "year_plan", month=f"{row.day:%Y-%m}").split("Tasks by week")[1]
    link = re.escape(reverse("planned_task", args=["larkspur", row.pk]))
    lines = {
        "all tasks": re.search(rf"<tr(?:(?!<tr).)*{link}.*?</tr>", tasks, re.DOTALL),
        "plan": re.search(rf"<tr(?:(?!<tr).)*{link}.*?</tr>", plan, re.DOTALL),
    }
    return {
        "board": words(line_of(house, row)),
        "json": json.loads(facts[1])[str(row.pk)]["said"],
        "its page": words(html(house, "planned_task", row.pk)),
        **{name: words(found[0]) for name, found in lines.items() if found},
    }


def assert_told(house: Any, row: PlannedTask, wanted: str) -> None:
    told = every_telling(house, row)
    assert set(told) == {"board", "json", "its page", "all tasks", "plan"}
    assert {name for name, said in told.items() if wanted not in said.lower()} == set(), told


def test_a_published_day_that_passed_is_past_and_then_late(published: Any) -> None:
    row, lawful = published.row, published.row.day + timedelta(days=3)
    Task.objects.filter(pk=row.task_id).update(last_lawful_on=lawful)
    with on(row.day):
        assert PAST not in line_of(published, row).lower()
    with on(lawful):
        assert_told(published, row, PAST)
        assert 'data-state="late"' not in line_of(published, row)
    with on(lawful + timedelta(days=1)):
        assert_told(published, row, "late: its last lawful day is past")
        assert 'data-state="late"' in line_of(published, row)
        assert f"{row.equipment.tag}: " in html(published, "year_plan").split("Tasks by week")[0]


def test_done_and_cancelled_are_told_with_their_day(published: Any) -> None:
    done, gone = published.row, a_task(published.year_plan, "W2")
    day = done.last_lawful_on + timedelta(days=3)
    Task.objects.filter(pk=done.task_id).update(state="done", done_on=day)
    Task.objects.filter(pk=gone.task_id).update(state="cancelled", closed_why="Sold.")
    with on(day + timedelta(days=30)):
        assert_told(published, done, f"done on {day:%-d %B %Y}, 3 days late".lower())
        assert_told(published, gone, "cancelled")
        for row in (done, gone):
            assert PAST not in line_of(published, row)


def test_a_day_that_lies_beyond_the_new_last_lawful_day_is_late(published: Any) -> None:
    """An early check, or an examiner, brings the next one forward; its agreed day stays."""
    row = published.row
    Task.objects.filter(pk=row.task_id).update(last_lawful_on=row.day - timedelta(days=2))
    assert_told(published, row, "2 days late")
    assert_told(published, row, f"lawful until {row.day - timedelta(days=2):%-d %B %Y} now".lower())
    late = html(published, "year_plan").split("Tasks by week")[0]
    assert f"planned for {row.day:%-d %b %Y}" in words(late)


def test_the_second_of_a_chain_is_held_to_its_chain_and_not_to_a_date_that_waits(
    published: Any,
) -> None:
    """Its task has a date counted from the first one's due day until that is done."""
    first, second = published.year_plan.planned.filter(plan=published.row.plan).order_by("day")[:2]
    Task.objects.filter(pk=second.task_id).update(last_lawful_on=second.day - timedelta(days=1))
    assert "late" not in words(line_of(published, second)).lower()
    Task.objects.filter(pk=first.task_id).update(state="done", done_on=first.day)
    assert "1 day late" in words(line_of(published, second)).lower()


def test_a_day_that_a_person_set_since_is_told_beside_the_plans_day(published: Any) -> None:
    row = published.row
    day = row.day + timedelta(days=1)
    Task.objects.filter(pk=row.task_id).update(planned_on=day)
    assert_told(published, row, f"now planned for {day:%-d %B %Y}".lower())
    with on(day):
        assert PAST not in words(line_of(published, row)).lower()


def test_the_counts_above_the_board_follow_what_became_of_the_tasks(published: Any) -> None:
    row = published.row
    with on(row.last_lawful_on + timedelta(days=1)):
        page = words(html(published, "year_board", zoom="month", day=str(row.day)))
        rows = published.year_plan.planned.filter(day__year=row.day.year, day__month=row.day.month)
        late = sum(each.last_lawful_on <= row.last_lawful_on for each in rows)
        assert late >= 1
        assert f" {late} late" in page


# -- late already, and what is missing -------------------------------------------------------------
def overdue(house: Any, days: int) -> Task:
    """The first task of W1 was lawful until so many days before the plan begins."""
    plan = a_task(house.year_plan).plan
    task = plan.tasks.order_by("number").first()
    lawful = FIRST - timedelta(days=days)
    assert task
    assert lawful < NOW.date(), "else it could be done before the plan begins"
    Task.objects.filter(pk=task.pk).update(due_on=lawful, last_lawful_on=lawful)
    return task


def planned(house: Any, days: int = DAYS) -> YearPlan:
    return make_quick_plan(
        venue=house.venue, first_day=FIRST, days=days, by=house.people["manager"], at=NOW
    )


def test_days_late_before_the_plan_begins_are_a_figure_of_their_own(house: Any) -> None:
    overdue(house, 36)
    house.year_plan = planned(house)
    row = a_task(house.year_plan)
    assert row.late_days == 36 + (row.day - FIRST).days
    assert house.year_plan.outcome["late_already"] == {"days": 36, "tasks": 1}
    page = words(html(house, "year_plan"))
    assert "Late already on the first day 36 days" in page
    assert "1 task" in page.split("Late already on the first day")[1][:80]


def without(plan: YearPlan, rows: Any, key: str, days: int) -> None:
    """As if these had found no half-day: the evaluator counts the days to the end of the plan."""
    rows.delete()
    YearPlan.objects.filter(pk=plan.pk).update(outcome=plan.outcome | {"late": {key: days}})
    plan.refresh_from_db()


def test_a_plan_with_no_task_at_all_is_never_done(house: Any) -> None:
    plan, row = house.year_plan, a_task(house.year_plan)
    key = f"{row.equipment.tag}: {row.plan.version.title}"
    without(plan, plan.planned.filter(plan=row.plan), key, 40)
    assert year_plans.missing_of_plan(plan) == ([key], [])
    assert f"Not done within the plan at all: {key}" in words(html(house, "year_plan"))


def test_a_plan_whose_chain_ends_too_soon_is_not_called_never_done(house: Any) -> None:
    plan, row = house.year_plan, a_task(house.year_plan)
    key = f"{row.equipment.tag}: {row.plan.version.title}"
    without(plan, plan.planned.filter(plan=row.plan, day__gt=row.day), key, 12)
    assert year_plans.missing_of_plan(plan) == ([], [(key, 12)])
    page = words(html(house, "year_plan"))
    assert "Not done within the plan at all" not in page
    assert f"{key}, 12 days late at its end" in page


def test_one_late_task_does_not_hide_that_later_ones_are_missing(house: Any) -> None:
    plan, row = house.year_plan, a_task(house.year_plan)
    key = f"{row.equipment.tag}: {row.plan.version.title}"
    plan.planned.filter(pk=row.pk).update(late_days=3, last_lawful_on=row.day - timedelta(days=3))
    without(plan, plan.planned.filter(plan=row.plan, day__gt=row.day), key, 15)
    assert year_plans.missing_of_plan(plan) == ([], [(key, 12)])


def test_late_plans_beyond_the_first_hundred_rows_are_not_called_never_done(house: Any) -> None:
    plan = house.year_plan
    row = a_task(plan)
    late = [
        PlannedTask(
            year_plan=plan, plan=row.plan, equipment=row.equipment, half="am",
            day=FIRST + timedelta(days=400 + number), due_on=FIRST, last_lawful_on=FIRST,
            late_days=400 + number,
        )
        for number in range(100)
    ]  # fmt: skip
    PlannedTask.objects.bulk_create(late)
    other = a_task(plan, "W2")
    plan.planned.filter(pk=other.pk).update(
        late_days=1, last_lawful_on=other.day - timedelta(days=1)
    )
    key = f"W2: {other.plan.version.title}"
    YearPlan.objects.filter(pk=plan.pk).update(outcome=plan.outcome | {"late": {key: 1}})
    plan.refresh_from_db()
    assert year_plans.missing_of_plan(plan) == ([], [])
