"""The demo house's season comes in as its diary's calendar file, and again, and is the season."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from inspections.demo.season import calls
from inspections.demo.season_file import season_file
from tests.house import make_person, make_venue
from venue.actions.calendars import add_calendar
from venue.models import Booking

pytestmark = pytest.mark.django_db

ZONE = ZoneInfo("Europe/London")
FIRST, LAST = date(2026, 12, 1), date(2027, 11, 30)
BOOKINGS = "/v/larkspur/bookings/"


def test_a_whole_season_goes_from_its_file_to_bookings_with_their_kinds() -> None:
    venue, client = make_venue(), Client()
    client.force_login(make_person(venue, "manager"))
    with time_machine.travel("2026-11-30T12:00:00Z", tick=True):
        source = add_calendar(venue=venue, name="Diary", address="", by=None, at=timezone.now())
        here = f"{BOOKINGS}calendars/{source.pk}/"
        season = list(calls(FIRST, LAST))

        def send() -> object:
            upload = SimpleUploadedFile("season.ics", season_file(FIRST, LAST, ZONE))
            return client.post(here + "try/", {"file": upload}).context

        agreed = {"agreed": send()["agreed"], "until": LAST.isoformat()}
        assert client.post(here + "apply/", agreed).status_code == 302
        assert send()["comparison"].changes == []
    rows = list(Booking.objects.all())
    assert len(rows) == len(season) > 250
    assert {(row.title, row.starts, row.ends) for row in rows} == {
        (call.title, hour(call.day, call.first), hour(call.day, call.last)) for call in season
    }
    kinds = Counter(row.what for row in rows)
    asked = Counter(row.title for row in rows if row.what == "unknown")
    # What the usual rules rightly do not take for dark is asked about, and holds the house.
    assert set(asked) == {"Closed for the holiday", "Dark, the tour's rig stays"}
    known = Counter(call.what for call in season if call.title not in asked)
    assert kinds - Counter(unknown=kinds["unknown"]) == known
    venue.refresh_from_db()
    assert venue.calendar_known_until == LAST


def hour(day: date, hour: int) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=ZONE).astimezone(UTC)
