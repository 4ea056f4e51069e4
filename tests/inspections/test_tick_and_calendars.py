"""The tick of the background work fetches calendars and numbers what changed in the feeds."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from inspections import jobs
from inspections.actions.plans import apply_regime
from inspections.actions.task_feeds import renew_feed_of_place
from inspections.models import FeedEntry, Task
from tests.house import make_house
from tests.venue.calendar.server import calendar_server
from venue import calendar_address
from venue.actions.calendars import add_calendar
from venue.models import Booking, CalendarSource

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def in_december() -> Iterator[None]:
    with time_machine.travel("2026-12-01T12:00:00Z", tick=True):
        yield


def test_a_tick_brings_what_a_calendar_has_new(monkeypatch: pytest.MonkeyPatch) -> None:
    house, now = make_house(), timezone.now()
    monkeypatch.setattr(calendar_address, "is_own_machine", lambda text: False)
    with calendar_server() as (address, handler):
        source = add_calendar(venue=house.venue, name="Diary", address=address + "house.ics",
                              by=None, at=now)  # fmt: skip
        CalendarSource.objects.filter(pk=source.pk).update(read_at=now - timedelta(days=2))
        jobs.tick()
        assert Booking.objects.filter(source=source).count() == 1
        jobs.tick()
        assert handler.asked == ["/house.ics"]
    source.refresh_from_db()
    assert (source.told, source.needs_a_look) == ("1 new.", False)


def test_a_tick_numbers_a_task_that_was_moved() -> None:
    house, now = make_house(), timezone.now()
    plan = apply_regime(equipment=house.winch, regime=house.regime, anchor=now.date(),
                        last_done_on=None, by=house.people["manager"], at=now)  # fmt: skip
    renew_feed_of_place(
        venue=house.venue, place=house.winch.place, by=house.people["manager"], at=now
    )
    task = plan.tasks.first()
    Task.objects.filter(pk=task.pk).update(planned_on=task.planned_on + timedelta(days=1))
    jobs.tick()
    jobs.tick()
    assert FeedEntry.objects.get(task=task).sequence == 1
    assert FeedEntry.objects.exclude(task=task).filter(sequence__gt=0).count() == 0
