"""The year week by week: every task in one week and no other, and each week leads to exactly those."""

from __future__ import annotations

import re
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inspections.actions.plans import apply_regime
from inspections.models import Task
from inspections.queries.year_strip import strip_of, week_rows
from inspections.views.day import local_day
from inspections.year_strip import TONES, Counted, Week, YearStrip, week_asked, year_strip
from tests.house import make_house

DAY = date(2026, 11, 26)
NOTHING = Counted(done=(), done_late=(), late=(), open=())


def weeks(strip: YearStrip) -> list[Week]:
    return [week for month in strip.months for week in month.weeks]


def week_of(strip: YearStrip, day: date) -> Week:
    return next(week for week in weeks(strip) if week.monday <= day <= week.sunday)


def test_it_shows_fifty_three_weeks_with_this_one_in_the_middle() -> None:
    for day in (DAY, date(2024, 2, 29), date(2026, 12, 31), date(2027, 1, 1)):
        shown = weeks(year_strip(NOTHING, day))
        assert len(shown) == 53
        assert [week.is_now for week in shown].index(True) == 26
        assert shown[26].monday <= day <= shown[26].sunday
        assert {b.monday - a.monday for a, b in pairwise(shown)} == {timedelta(days=7)}


def test_each_standing_is_counted_in_the_week_where_it_belongs() -> None:
    strip = year_strip(
        Counted(
            done=[(date(2026, 11, 2), 3), (date(2026, 11, 8), 1)], done_late=[(date(2026, 11, 8), 1)],
            late=[(date(2026, 11, 4), 2)], open=[(date(2026, 11, 10), 1), (date(2026, 12, 1), 5)],
        ),
        DAY,
    )  # fmt: skip
    early = week_of(strip, date(2026, 11, 4))
    assert (early.counts, early.done_late) == ((("late", 2), ("done", 4)), 1)
    assert week_of(strip, date(2026, 11, 10)).counts == ()  # it can be done now, and no more then
    assert week_of(strip, DAY).counts == (("due", 1),)
    assert week_of(strip, date(2026, 12, 1)).counts == (("planned", 5),)
    assert dict(strip.total) == {"late": 2, "due": 1, "planned": 5, "done": 4}


def test_what_is_late_for_longer_than_the_strip_is_said_beside_it() -> None:
    strip = year_strip(Counted((), (), late=[(date(2025, 1, 1), 2)], open=()), DAY)
    assert strip.late_before == 2
    assert all(week.counts == () for week in weeks(strip))


def test_the_fullest_week_has_the_strongest_tone_and_an_empty_one_none() -> None:
    strip = year_strip(Counted([(DAY, 40), (date(2026, 11, 2), 1)], (), (), ()), DAY)
    assert week_of(strip, DAY).tone == TONES
    assert week_of(strip, date(2026, 11, 2)).tone == 1
    assert week_of(strip, date(2026, 12, 2)).tone == 0


@pytest.mark.parametrize("text", ["", "soon", "2026-13-01", "0001-01-01", "9999-12-31"])
def test_what_is_no_day_is_no_week(text: str) -> None:
    assert week_asked(text) is None


@pytest.fixture
def house() -> Any:
    """A winch with a task in each standing."""
    house = make_house()
    house.day = local_day(house.venue)
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=house.day, last_done_on=None,
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    late, past, done, *_ = Task.objects.order_by("number")
    days = timedelta(days=1)
    _set(late, planned_on=house.day - 40 * days, last_lawful_on=house.day - 30 * days)
    _set(past, planned_on=house.day - 10 * days, last_lawful_on=house.day + 3 * days)
    _set(done, planned_on=house.day - 60 * days, last_lawful_on=house.day - 55 * days, state="done",
         done_on=house.day - 50 * days)  # fmt: skip
    return house


def _set(task: Task, **changed: Any) -> None:
    Task.objects.filter(pk=task.pk).update(**changed)


@pytest.mark.django_db
def test_a_week_leads_to_just_the_tasks_that_it_counts(house: Any) -> None:
    strip = strip_of(house.venue, house.day)
    seen = []
    for week in weeks(strip):
        rows = week_rows(house.venue, house.day, week.monday)
        assert len(rows) == week.number, week
        seen += [row.task.pk for row in rows]
    assert len(seen) == len(set(seen))
    assert strip.total["late"] == strip.total["due"] == strip.total["done"] == 1
    assert strip.total["planned"] >= 4
    late = week_of(strip, house.day - timedelta(days=50))
    assert late.done_late == 1


@pytest.mark.django_db
def test_the_front_page_says_each_week_in_words_and_leads_to_its_list(house: Any) -> None:
    client = Client()
    client.force_login(house.people["manager"])
    html = client.get(reverse("overview", args=[house.venue.slug])).content.decode()
    links = re.findall(r'<a href="([^"]+\?week=[^"]+)"[^>]*>(.*?)</a>', html, re.DOTALL)
    assert len(links) == 53
    told = [re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", words)).strip() for _, words in links]
    assert sum("1 late" in words for words in told) == 1
    assert sum("1 of them late" in words for words in told) == 1
    assert sum("1 too late" in words for words in told) == 1
    assert "this week, 1 due" in told[26]
    assert any(words.endswith("nothing") for words in told)
    where = next(address for address, words in links if "late</span>" in words)
    listed = client.get(where).content.decode()
    assert "The week from" in listed
    assert listed.count('scope="row"') == 1
    assert "Late" in listed


@pytest.mark.django_db
def test_it_costs_the_same_however_many_tasks_there_are(house: Any) -> None:
    asked = []
    for cut in (3, 9):
        Task.objects.filter(number__gt=cut, number__lt=100).update(state="cancelled")
        with CaptureQueriesContext(connection) as queries:
            strip_of(house.venue, house.day)
        asked.append(len(queries))
    assert asked == [4, 4]
