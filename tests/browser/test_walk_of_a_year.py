"""One walk: a diary file is read, what it does not say is answered, a year is planned from it in
the background, published, and its tasks stand on the board and have their days."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone

from inspections.actions.plans import apply_regime
from inspections.models import PlannedTask, Task, YearPlan
from inspections.regime_files import regimes
from tests.browser.hands import DESK, PHONE, Person
from tests.browser.walk_proof import let_the_worker_work
from tests.house import make_equipment, make_house, make_rope
from tests.venue.calendar.files import calendar_file, event
from venue.models import Booking

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

V = "/v/larkspur/"
BALL = "Harbour ball, members only"


@pytest.fixture
def house(live_server: Any, one_day: None) -> Any:
    """Two winches with two regimes each, and no booking at all."""
    house, now = make_house(), timezone.now()
    second = make_equipment(house.venue, "W2")
    make_rope(second)
    for winch in (house.winch, second):
        for slug in ("winch_ropes_monthly", "winch_quarterly"):
            apply_regime(
                equipment=winch, regime=regimes()[slug], anchor=now.date() + timedelta(days=40),
                last_done_on=now.date() - timedelta(days=5), by=house.people["manager"], at=now,
            )  # fmt: skip
    return house


def diary(today: date) -> dict[str, Any]:
    """Rehearsals every second Tuesday, and a ball of which no usual rule knows what it is."""
    tuesday = today + timedelta(days=8 - today.weekday())
    ball = today + timedelta(days=20)
    content = calendar_file(
        event(f"DTSTART:{tuesday:%Y%m%d}T100000", "DURATION:PT8H", "RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=8",
              uid="rehearsals", title="Rehearsal: The Salt Stair"),
        event(f"DTSTART;VALUE=DATE:{ball:%Y%m%d}", uid="ball", title=BALL.replace(",", "\\,")),
    )  # fmt: skip
    return {"name": "diary.ics", "mimeType": "text/calendar", "buffer": content}


def save(manager: Person) -> None:
    with manager.page.expect_navigation():
        manager.page.locator("main form button.main").click()


def read_the_diary(manager: Person, today: date) -> None:
    manager.sign_in(V + "bookings/calendars/")
    manager.follow("Add a calendar")
    manager.type(name="Main stage")
    save(manager)
    manager.go(V + "bookings/calendars/")
    manager.enclose("file", diary(today))
    manager.press("Try the file for Main stage")
    assert not Booking.objects.exists()
    assert BALL in manager.looks("diary-tried")
    manager.type(until=str(today + timedelta(days=400)))
    manager.press("Apply the calendar")


def say_what_the_ball_is(manager: Person) -> None:
    assert BALL in manager.looks("diary-not-known")
    with manager.page.expect_navigation():
        manager.page.locator("main table a.button").first.click()
    manager.page.select_option("[name=what]", "other")
    save(manager)
    assert [row.what for row in Booking.objects.filter(title=BALL)] == ["other"]
    assert Booking.objects.filter(what="rehearsal").count() == 8


def plan_and_publish(manager: Person) -> YearPlan:
    manager.go(V + "year/")
    manager.page.select_option("[name=days]", "91")
    manager.type(seconds="1")
    manager.looks("year-ask")
    manager.press("Plan")
    assert "Waiting" in manager.looks("year-waiting")
    let_the_worker_work()
    plan = YearPlan.objects.get()
    manager.go(f"{V}year/{plan.pk}/")
    assert "What it comes to" in manager.looks("year-plan")
    manager.press("Publish")
    assert "tasks got their day and their person" in manager.looks("year-published")
    return plan


def test_from_a_diary_file_to_a_published_board(tab: Callable[..., Any], house: Any) -> None:
    today = timezone.now().astimezone(house.venue.zone).date()
    manager = Person(tab, DESK, "manager@larkspur.example")
    read_the_diary(manager, today)
    say_what_the_ball_is(manager)
    plan = plan_and_publish(manager)
    rows = PlannedTask.objects.filter(year_plan=plan).order_by("day")
    held = {booking.starts.astimezone(house.venue.zone).date() for booking in Booking.objects.all()}
    assert len(rows) >= 4
    assert not held & {row.day for row in rows}, "nothing is planned on a day that the diary holds"
    manager.go(f"{V}year/{plan.pk}/board/")
    words = manager.looks("board")
    assert f"{rows[0].day:%B %Y}" in words
    on_board = [
        int(pk)
        for mark in manager.page.locator("[data-board] [data-tasks]").all()
        for pk in mark.get_attribute("data-tasks").split()
    ]
    month = (rows[0].day.year, rows[0].day.month)
    assert sorted(on_board) == sorted(
        row.pk for row in rows if (row.day.year, row.day.month) == month
    )
    task = Task.objects.get(pk=rows[0].task_id)
    assert (task.planned_on, task.day_agreed) == (rows[0].day, True)
    at_a_phone = Person(tab, PHONE, "manager@larkspur.example")
    at_a_phone.sign_in(f"{V}year/{plan.pk}/board/")
    assert f"{rows[0].day:%B %Y}" in at_a_phone.looks("board")
