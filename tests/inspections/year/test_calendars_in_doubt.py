"""A calendar that was not read, and bookings that nobody has named: said on the plan, and asked about
before anything is published."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from inspections.actions.publish_in_doubt import InDoubt
from inspections.actions.publish_year_plan import CannotPublish, publish_year_plan
from inspections.actions.year_plan_states import copy_year_plan
from inspections.models import Task
from inspections.queries.calendar_doubts import calendar_doubts
from tests.house import NOW
from tests.inspections.year.year_house import DAYS, MONDAY, book, make_draft, make_year_house
from venue.models import Booking, CalendarSource, LogLine

pytestmark = pytest.mark.django_db
LAST = MONDAY + timedelta(days=DAYS - 1)
NOT_HERE = (
    "What was booked in it since then is not known here, so a day that counts as free may be taken."
)


@pytest.fixture
def house() -> Any:
    return make_year_house()


def a_calendar(house: Any, read: datetime | None = NOW, **more: Any) -> CalendarSource:
    fields = {"address": "https://diary.example/a.ics", "since": NOW} | more
    return CalendarSource.objects.create(
        venue=house.venue, name=fields.pop("name", "Diary"), read_at=read, **fields
    )


def said(house: Any) -> list[str]:
    return [doubt.words for doubt in calendar_doubts(house.venue, MONDAY, LAST, NOW)]


def an_unknown(house: Any, away: int = 3, title: str = "Hold 2") -> Booking:
    row = book(house, MONDAY + timedelta(days=away), 9, 23, title=title)
    Booking.objects.filter(pk=row.pk).update(what="unknown")
    return row


def publish(house: Any, plan: Any, **more: str) -> int:
    return publish_year_plan(year_plan=plan, by=house.people["manager"], at=NOW, **more)


# -- what is in doubt ------------------------------------------------------------------------------
def test_a_calendar_that_needs_a_look_is_in_doubt_however_lately_it_was_read(house: Any) -> None:
    a_calendar(house, NOW - timedelta(days=1), needs_a_look=True)
    assert said(house) == [
        "Nothing of the calendar Diary has been applied since 3 May 2026, and it needs a look. "
        + NOT_HERE
    ]


@pytest.mark.parametrize(("address", "days"), [("https://diary.example/a.ics", 3), ("", 31)])
def test_a_calendar_not_read_for_long_is_in_doubt_a_file_later_than_an_address(
    house: Any, address: str, days: int
) -> None:
    row = a_calendar(house, NOW - timedelta(days=days), address=address)
    assert said(house) == []
    CalendarSource.objects.filter(pk=row.pk).update(read_at=NOW - timedelta(days=days, minutes=1))
    (words,) = said(house)
    assert words.startswith("The calendar Diary was last read on ")
    assert words.endswith(f"2026, more than {days} days ago. {NOT_HERE}")


def test_a_calendar_never_applied_is_in_doubt_and_one_that_has_ended_is_not(house: Any) -> None:
    row = a_calendar(house, None)
    assert said(house) == [
        "The calendar Diary has never been applied: nothing that is booked in it is known here."
    ]
    CalendarSource.objects.filter(pk=row.pk).update(ended_on=NOW.date())
    assert said(house) == []


def test_bookings_that_nobody_has_named_are_counted_within_the_plan(house: Any) -> None:
    an_unknown(house, away=-1)
    an_unknown(house, away=DAYS)
    assert said(house) == []
    an_unknown(house)
    an_unknown(house, away=DAYS - 1)
    an_unknown(house, title="Brass Night")
    assert said(house) == [
        "Nobody has said what they are: 3 bookings in these days (Hold 2; Brass Night). Until somebody "
        "does they hold the whole house, and their half-days count as blocked."
    ]


def test_calendars_and_bookings_of_another_venue_put_nothing_in_doubt(house: Any) -> None:
    row = an_unknown(house)
    Booking.objects.filter(pk=row.pk).update(venue=house.other)
    CalendarSource.objects.create(venue=house.other, name="Other", since=NOW)
    assert said(house) == []


# -- on the plan -----------------------------------------------------------------------------------
@pytest.fixture
def client(house: Any) -> Any:
    client = Client()
    client.force_login(house.people["manager"])
    with time_machine.travel(NOW, tick=False):
        yield client


def where(house: Any, name: str, *more: object) -> str:
    return reverse(name, args=[house.venue.slug, *more])


def test_the_plan_says_it_once_with_the_way_to_where_it_is_answered(
    house: Any, client: Client
) -> None:
    a_calendar(house, None)
    an_unknown(house)
    plan = make_draft(house)
    assert plan.unknowns[:2] == said(house)
    shown = client.get(where(house, "year_plan", plan.pk)).content.decode()
    for words in said(house):
        assert shown.count(words) == 1
    assert f'<a href="{where(house, "unknown_bookings")}">Say what they are</a>' in shown
    assert f'<a href="{where(house, "calendars")}">Look at the calendars</a>' in shown
    client.force_login(house.people["stagehand"])
    shown = client.get(where(house, "year_plan", plan.pk)).content.decode()
    assert "has never been applied" in shown
    assert where(house, "calendars") not in shown.split("<main")[1]


def test_what_came_into_doubt_since_the_plan_was_made_is_said_too(
    house: Any, client: Client
) -> None:
    plan = make_draft(house)
    assert plan.unknowns == []
    a_calendar(house, needs_a_look=True)
    shown = client.get(where(house, "year_plan", plan.pk)).content.decode()
    assert "needs a look" in shown


# -- publishing ------------------------------------------------------------------------------------
@pytest.mark.parametrize("although", ["", "  "])
def test_nothing_is_published_over_a_doubt_in_silence(house: Any, although: str) -> None:
    plan = make_draft(house)
    a_calendar(house, needs_a_look=True)
    with pytest.raises(InDoubt, match="it needs a look") as refused:
        publish(house, plan, although=although)
    assert [doubt.page for doubt in refused.value.doubts] == ["calendars"]
    plan.refresh_from_db()
    assert (plan.state, plan.published_although) == ("draft", "")
    assert not Task.objects.filter(day_agreed=True).exists()
    assert not LogLine.objects.filter(did="publish_year_plan").exists()


def test_the_words_stand_on_the_plan_and_in_the_log_with_what_was_in_doubt(house: Any) -> None:
    plan = make_draft(house)
    an_unknown(house, away=5)  # a Saturday, on which nobody works
    doubts = said(house)
    assert publish(house, plan, although=" The tour is not sold. ")
    plan.refresh_from_db()
    assert plan.published_although == "The tour is not sold."
    after = json.loads(LogLine.objects.get(did="publish_year_plan").body)["after"]
    assert after["although"] == "The tour is not sold."
    assert doubts[0] in str(after["in_doubt"])
    copy = copy_year_plan(year_plan=plan, name="If", by=house.people["manager"], at=NOW)
    assert copy.published_although == ""


def test_where_nothing_is_in_doubt_no_words_are_asked_for_and_none_are_kept(house: Any) -> None:
    plan = make_draft(house)
    a_calendar(house)
    publish(house, plan, although="For no reason.")
    plan.refresh_from_db()
    assert (plan.state, plan.published_although) == ("published", "")
    assert "although" not in LogLine.objects.get(did="publish_year_plan").body


def test_words_do_not_help_against_a_show_on_the_half_day(house: Any) -> None:
    plan = make_draft(house)
    row = plan.planned.first()
    assert row
    book(house, row.day, 8, 18)
    a_calendar(house, needs_a_look=True)
    with pytest.raises(CannotPublish, match="lacks"):
        publish(house, plan, although="It is fine.")


def test_from_the_page_a_person_is_asked_first_and_then_it_is_published(
    house: Any, client: Client
) -> None:
    plan = make_draft(house)
    a_calendar(house, needs_a_look=True)
    page = where(house, "publish_year_plan", plan.pk)
    asked = client.post(page, {"csrfmiddlewaretoken": "x"})
    assert asked.status_code == 422
    html = asked.content.decode()
    assert "<h1>Not published yet</h1>" in html
    assert "needs a look" in html
    assert "field-error" not in html
    empty = client.post(page, {"although": " "}).content.decode()
    assert "field-error" in empty
    plan.refresh_from_db()
    assert plan.state == "draft"
    done = client.post(page, {"although": "Asked the office."}, follow=True).content.decode()
    assert "Published. " in done
    assert "Published over what was in doubt: Asked the office." in done
