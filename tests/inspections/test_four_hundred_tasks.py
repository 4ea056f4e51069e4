"""A plan of more than four hundred tasks: every one of them can be reached, and none costs a query."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.publish_year_plan import publish_year_plan
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.board_grid import period_of
from inspections.models import Task
from tests.house import NOW
from tests.inspections.planned_house import FIRST, make_planned_house

pytestmark = pytest.mark.django_db
WINCHES, DAYS = 26, 364
MOST_QUERIES = 21


@pytest.fixture
def year() -> Iterator[Any]:
    """Twenty-six winches, each looked at every month and every quarter, for a year."""
    with time_machine.travel(NOW, tick=False):
        house = make_planned_house(WINCHES)
        house.plan = make_quick_plan(
            venue=house.venue, first_day=FIRST, days=DAYS, by=house.people["manager"], at=NOW
        )
        yield house


def read(house: Any, name: str, **asked: Any) -> tuple[str, int]:
    """A page, and how many queries it took."""
    client = Client()
    client.force_login(house.people["manager"])
    with CaptureQueriesContext(connection) as queries:
        got = client.get(reverse(name, args=["larkspur", house.plan.pk]), asked)
    assert got.status_code == 200
    return got.content.decode(), len(queries)


def marks(page: str) -> set[int]:
    """The tasks that stand on the board."""
    table = page.split("<table", 2)[1].split("</table>")[0]
    found = re.findall(r'data-tasks="([\d ]+)"', table)
    return {int(pk) for several in found for pk in several.split()}


def linked(page: str) -> set[int]:
    return {int(pk) for pk in re.findall(r'href="/v/larkspur/year/tasks/(\d+)/"', page)}


def looks(zoom: str) -> Iterator[date]:
    """A day in each look from the first day of the plan to its last."""
    day = FIRST
    while day < FIRST + timedelta(days=DAYS):
        yield day
        day = period_of(zoom, day).after


def test_every_task_can_be_reached_and_none_costs_a_query(year: Any) -> None:
    every = set(year.plan.planned.values_list("pk", flat=True))
    assert len(every) >= 400
    costs: dict[str, set[int]] = {}
    for zoom in ("year", "quarter", "month"):
        on_board: set[int] = set()
        for day in looks(zoom):
            page, cost = read(year, "year_board", zoom=zoom, day=day)
            on_board |= marks(page)
            costs.setdefault(zoom, set()).add(cost)
        assert on_board == every, f"{zoom}: {len(every - on_board)} tasks stand on no board"
    listed: set[int] = set()
    for number in range(1, len(every) // 100 + 2):
        page, cost = read(year, "year_board", zoom="year", day=FIRST, page=number)
        listed |= linked(page.split('id="list"')[1])
        costs["year"].add(cost)
    assert listed == every, "the list below the board leaves some out"
    in_months: set[int] = set()
    for month in sorted(
        {f"{day:%Y-%m}" for day in year.plan.planned.values_list("day", flat=True)}
    ):
        page, cost = read(year, "year_plan", month=month)
        in_months |= linked(page.split("Tasks by week")[1])
        costs.setdefault("plan", set()).add(cost)
    assert in_months == every, "the months of the plan's page leave some out"
    in_list: set[int] = set()
    for number in (1, 2):
        page, cost = read(year, "year_tasks", page=number)
        assert ('rel="next"' in page) == (number == 1), (
            "the first page leads on, the second is last"
        )
        in_list |= linked(page)
        costs.setdefault("all tasks", set()).add(cost)
    assert in_list == every, "the list of all tasks leaves some out"
    print(costs)
    assert max(max(each) for each in costs.values()) <= MOST_QUERIES


def test_publishing_so_many_gives_each_its_day_in_few_queries(year: Any) -> None:
    with CaptureQueriesContext(connection) as queries:
        changed = publish_year_plan(year_plan=year.plan, by=year.people["manager"], at=NOW)
    dated = year.plan.planned.exclude(task=None)
    assert changed == dated.count() >= 350
    assert all(row.day == row.task.planned_on for row in dated.select_related("task"))
    assert Task.objects.filter(day_agreed=True).count() == changed
    print(len(queries), "queries")
    assert len(queries) < changed / 2
