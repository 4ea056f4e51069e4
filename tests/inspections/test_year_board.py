"""The year board: which half-days it shows, what lies in them, and what holds the house."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from inspections.actions.lock_planned import set_locked
from inspections.actions.move_planned import move_planned
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.board_grid import period_of
from inspections.held_half_days import Habits, held_half_days
from inspections.queries.year_board import board_of_plan
from inspections.run_days import Booked
from tests.house import NOW
from tests.inspections.planned_house import a_task, make_planned_house

pytestmark = pytest.mark.django_db
JUNE = date(2026, 6, 15)


@pytest.fixture
def house() -> Iterator[Any]:
    with time_machine.travel(NOW, tick=False):
        yield make_planned_house()


def signed_in(house: Any, who: str = "manager") -> Client:
    client = Client()
    client.force_login(house.people[who])
    return client


def page(house: Any, who: str = "manager", **asked: str) -> str:
    where = reverse("year_board", args=[house.venue.slug, house.year_plan.pk])
    return signed_in(house, who).get(where, {"day": str(JUNE), **asked}).content.decode()


def words(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


# -- the grid ------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("zoom", "first", "last", "columns"),
    [
        ("week", date(2026, 6, 15), date(2026, 6, 21), 7),
        ("month", date(2026, 6, 1), date(2026, 6, 30), 30),
        ("quarter", date(2026, 4, 1), date(2026, 6, 30), 91),
        ("year", date(2026, 6, 15), date(2027, 6, 20), 53),
    ],
)
def test_each_zoom_shows_its_own_days(zoom: str, first: date, last: date, columns: int) -> None:
    period = period_of(zoom, JUNE)
    assert (period.first, period.last, len(period.columns)) == (first, last, columns)


@pytest.mark.parametrize("zoom", ["week", "month", "quarter"])
def test_the_look_before_and_the_look_after_leave_no_day_out(zoom: str) -> None:
    for day in (date(2026, 1, 1), date(2028, 2, 29), date(2026, 12, 31)):
        period = period_of(zoom, day)
        assert period_of(zoom, period.before).last == period.first - timedelta(days=1)
        assert period_of(zoom, period.after).first == period.last + timedelta(days=1)


def test_every_task_of_the_period_lies_in_exactly_one_row_by_place(house: Any) -> None:
    board = board_of_plan(
        house.year_plan, period_of("month", date(2026, 7, 1)), "places", NOW.date()
    )
    shown = [
        mark.planned.pk
        for row in board.rows
        for line in row.lines
        for cell in line.cells
        for mark in cell.marks
    ]
    planned = house.year_plan.planned.filter(day__year=2026, day__month=7)
    assert sorted(shown) == sorted(planned.values_list("pk", flat=True))
    assert len(shown) >= 6
    assert [row.name.title for row in board.rows] == ["Stage", "Fly gallery"]


def test_by_person_a_task_stands_in_the_row_of_each_of_its_people(house: Any) -> None:
    board = board_of_plan(
        house.year_plan, period_of("year", date(2026, 6, 1)), "people", NOW.date()
    )
    crews = sum(task.crew.count() for task in house.year_plan.planned.all())
    assert sum(row.count for row in board.rows) == crews
    assert {row.name.title for row in board.rows} == {"Competent", "Manager", "Second"}


def test_a_task_of_two_half_days_is_shown_in_both_and_counted_once(house: Any) -> None:
    task = a_task(house.year_plan)
    house.year_plan.planned.filter(pk=task.pk).update(half="pm", half_days=2, day=JUNE)
    board = board_of_plan(house.year_plan, period_of("week", JUNE), "places", NOW.date())
    cells = [c for r in board.rows for line in r.lines for c in line.cells if c.marks]
    assert [(cell.column.first, cell.half) for cell in cells] == [
        (JUNE + timedelta(days=1), "am"), (JUNE, "pm"),
    ]  # fmt: skip
    assert [cell.marks[0].goes_on for cell in cells] == [True, False]
    assert [row.count for row in board.rows] == [1]


# -- what holds the house ------------------------------------------------------------------------
def test_a_show_in_the_evening_holds_no_half_day_but_marks_the_day(house: Any) -> None:
    show = Booked(
        "performance", "The Salt Stair", datetime(2026, 6, 16, 19, tzinfo=UTC),
        datetime(2026, 6, 16, 22, tzinfo=UTC),
    )  # fmt: skip
    held = held_half_days([show], JUNE, date(2026, 6, 17), date(2026, 6, 16), Habits())
    assert [held[date(2026, 6, 16), half].what for half in ("am", "pm")] == ["beside", "beside"]
    assert held[JUNE, "am"].what == "free"
    assert held[date(2026, 6, 17), "am"].what == "unknown"
    assert held[date(2026, 6, 17), "am"].blocked


def test_a_booking_that_nobody_has_named_is_said_before_any_other() -> None:
    asked, dark = (
        Booked(what, title, datetime(2026, 6, 15, 9, tzinfo=UTC),
               datetime(2026, 6, 15, 12, tzinfo=UTC))
        for what, title in (("unknown", "Hold 2"), ("dark", "Closed"))
    )  # fmt: skip
    hold = held_half_days([dark, asked], JUNE, JUNE, JUNE, Habits())[JUNE, "am"]
    assert (hold.what, hold.short, hold.blocked) == ("unasked", "??", True)
    assert "nobody has said what it is: Closed, Hold 2" in hold.words


def test_without_a_day_until_which_the_calendar_is_entered_nothing_is_free() -> None:
    held = held_half_days([], JUNE, JUNE, None, Habits())
    assert {hold.what for hold in held.values()} == {"unknown"}


def test_what_holds_the_house_is_said_in_words_and_hatched(house: Any) -> None:
    html = page(house)
    assert "load-in: Brass and Bunting, leaves nothing accessible" in words(html)
    assert html.count('class="hold-load_in is-blocked"') >= 10


# -- the page ------------------------------------------------------------------------------------
def test_the_table_is_read_by_its_headings(house: Any) -> None:
    html = page(house)
    assert 'scope="colgroup"' in html
    assert html.count('<th scope="col" data-day=') == 30
    assert html.count('scope="rowgroup" rowspan="2"') == 1 + 2  # the house, and two places
    assert "Each column is a day; the upper line is its morning" in words(html)


def test_late_locked_and_moved_are_told_by_word_and_by_their_own_mark(house: Any) -> None:
    plan, manager = house.year_plan, house.people["manager"]
    late, locked, moved = (a_task(plan, tag) for tag in ("W1", "W2", "W3"))
    plan.planned.filter(pk=late.pk).update(late_days=3)
    move_planned(planned=moved, day=moved.day, half="am", by=manager, at=NOW)
    set_locked(planned=locked, locked=True, by=manager, at=NOW)
    html = page(house)
    for state in ("late", "locked", "moved"):
        assert f'data-state="{state}"' in html
        assert f"marks.svg#{state}" in html
    for said in ("3 days late", "Moved by hand", "Locked", "1 late", "1 moved by hand", "1 locked"):
        assert said in words(html)


def test_many_tasks_in_one_half_day_are_one_mark_with_their_number(house: Any) -> None:
    html = page(house, day="2026-07-01")
    found = re.findall(r'class="board-mark is-many".*?>(\d+)<span class="unseen"> tasks', html)
    july = house.year_plan.planned.filter(day__month=7, equipment__place__slug="stage")
    assert [int(number) for number in found][:1] == [july.count()] == [4]


def test_the_list_below_can_be_edited_without_a_script(house: Any) -> None:
    html, task = page(house), a_task(house.year_plan)
    assert f'action="{reverse("move_planned", args=["larkspur", task.pk])}"' in html
    assert f'name="day" value="{task.day}"' in html
    assert f'action="{reverse("lock_planned", args=["larkspur", task.pk])}"' in html


def test_an_auditor_and_a_published_plan_get_a_board_that_moves_nothing(house: Any) -> None:
    assert "move_planned" not in page(house, "auditor")
    assert "data-may-move" not in page(house, "auditor")
    publish_year_plan(year_plan=house.year_plan, by=house.people["manager"], at=NOW)
    html = page(house)
    assert "data-may-move" not in html
    assert "data-board-move" not in html
    assert "A published plan is not moved" in words(html)
    assert "What-if copy" in words(html)


def test_an_address_that_makes_no_sense_shows_the_usual_look(house: Any) -> None:
    for asked in ({"zoom": "decade"}, {"day": "2026-13-45"}, {"by": "stars"}, {"page": "x"}):
        assert 'data-zoom="month"' in page(house, **asked)


def test_the_board_opens_at_the_first_month_from_today_with_a_task(house: Any) -> None:
    where = reverse("year_board", args=[house.venue.slug, house.year_plan.pk])
    house.year_plan.planned.filter(day__lt=date(2026, 8, 1)).delete()
    client = signed_in(house)
    assert "<h2>August 2026</h2>" in client.get(where).content.decode()
    house.year_plan.planned.all().delete()
    assert "<h2>June 2026</h2>" in client.get(where).content.decode()


@pytest.mark.parametrize(
    ("zoom", "by"),
    [("year", "people"), ("quarter", "places"), ("month", "people"), ("week", "places")],
)
def test_the_page_costs_the_same_queries_for_one_task_as_for_many(
    house: Any, zoom: str, by: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    where = reverse("year_board", args=[house.venue.slug, house.year_plan.pk])
    client, counts = signed_in(house), []
    for _ in range(2):
        with django_assert_max_num_queries(16) as asked:
            html = client.get(where, {"zoom": zoom, "by": by, "day": "2026-07-22"}).content.decode()
        counts.append((html.count('<tr id="task-'), len(asked)))
        last = house.year_plan.planned.filter(day__month=7).last()
        house.year_plan.planned.exclude(pk=last.pk).delete()
    (many, for_many), (one, for_one) = counts
    assert (many > 3, one) == (True, 1)
    assert for_many == for_one


def test_where_not_everything_can_be_on_time_board_and_plan_say_so_first(house: Any) -> None:
    plan = house.year_plan
    why = {
        "least_late_days": 12, "least_proven": 12, "no_days": ["No half-day for W1 in June."],
        "reasons": ["W1 on time, which needs stage clear"], "reasons_are_minimal": True,
        "gains": [{"words": "a dark half-day on 9 June 2026", "before": 12, "after": 3}],
    }  # fmt: skip
    plan.outcome |= {"contradiction": why}
    plan.save(update_fields=["outcome"])
    assert "Not everything can be on time: every plan is late by 12 days at least" in words(
        page(house)
    )
    where = reverse("year_plan", args=[house.venue.slug, plan.pk])
    said = words(signed_in(house).get(where).content.decode())
    assert said.index("Why not everything can be on time") < said.index("What it comes to")
    assert "With a dark half-day on 9 June 2026: 3 days late instead of 12." in said


def test_the_board_claims_no_more_lateness_than_is_proven(house: Any) -> None:
    plan = house.year_plan
    for proven, told in (
        (9, "Not everything can be on time: every plan is late by 9 days at least in all."),
        (0, "Not everything is on time: 12 days late in all in the best plan found; that none is"),
    ):
        why = {"least_late_days": 12, "least_proven": proven, "reasons": [], "gains": []}
        plan.outcome |= {"contradiction": why}
        plan.save(update_fields=["outcome"])
        assert told in words(page(house))
