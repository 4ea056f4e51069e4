"""From a calendar file to known bookings on screen: try, look, confirm, answer."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.house import make_person, make_venue
from tests.venue.calendar.files import calendar_file, event
from tests.venue.calendar.server import calendar_server
from venue import calendar_address
from venue.actions.calendars import add_calendar
from venue.actions.fetch_calendars import fetch_due_calendars
from venue.models import Booking, BookingRule, CalendarSource, LogLine, Venue

pytestmark = pytest.mark.django_db

HERE = "/v/larkspur/bookings/"
# As a hired-in diary looks: folded, another zone, an office program's name for one, all-day and
# floating times, an exception, one moved, one cancelled, one without end, one that cannot be read.
MESSY = calendar_file(
    event("DTSTART;TZID=GMT Standard Time:20270105T193000", "DURATION:PT3H", "LOCATION:Main",
          "RRULE:FREQ=WEEKLY;UNTIL=20270210T000000Z;BYDAY=TU,TH",
          "EXDATE;TZID=Europe/London:20270112T193000", uid="run", title="Nine Lanterns"),
    event("RECURRENCE-ID:20270114T193000Z", "DTSTART:20270115T193000Z", "DURATION:PT3H", uid="run",
          title="Nine Lanterns"),
    event("DTSTART;VALUE=DATE:20270118", "DTEND;VALUE=DATE:20270120", uid="dark", title="DARK"),
    event("DTSTART:20270120T090000", uid="fit", title="Fit-up: Brass and Bunting",
          ),
    event("DTSTART:20270121T180000Z", "DURATION:PT2H", "STATUS:CANCELLED", uid="gone",
          title="Cancelled gala"),
    event("DTSTART:20270122T180000Z", "DTEND:20270122T200000Z", uid="ball",
          title="Harbour ball\\, members only").replace("members", "mem\n bers"),
    event("DTSTART;VALUE=DATE:20270125", uid="hire", title="Harbour ball, members only"),
).replace(b"mem\r\nbers", b"mem\r\n bers")  # fmt: skip


@pytest.fixture
def venue() -> Venue:
    return make_venue()


@pytest.fixture
def manager(venue: Venue) -> Client:
    client = Client()
    client.force_login(make_person(venue, "manager"))
    return client


@pytest.fixture
def source(venue: Venue) -> CalendarSource:
    now = timezone.now()
    return add_calendar(venue=venue, name="Main stage", address="", by=None, at=now)


@pytest.fixture(autouse=True)
def in_december() -> Any:
    with time_machine.travel("2026-12-01T12:00:00Z", tick=True):
        yield


def send(client: Client, source: CalendarSource, content: bytes) -> Any:
    upload = SimpleUploadedFile("diary.ics", content, "text/calendar")
    return client.post(f"{HERE}calendars/{source.pk}/try/", {"file": upload})


def confirm(client: Client, source: CalendarSource, slip: str, until: str = "") -> Any:
    sent = {"agreed": slip, "until": until}
    return client.post(f"{HERE}calendars/{source.pk}/apply/", sent, follow=True)


def test_a_messy_diary_goes_from_the_file_to_known_bookings(manager: Client) -> None:
    manager.post(HERE + "calendars/add/", {"name": "Main stage", "address": ""})
    source = CalendarSource.objects.get()
    assert BookingRule.objects.count() == 6
    tried = send(manager, source, MESSY)
    page = tried.content.decode()
    assert tried.status_code == 200
    assert not Booking.with_cancelled.exists()
    assert "no end is given" in page
    done = confirm(manager, source, tried.context["agreed"], "2027-02-28")
    assert done.redirect_chain[-1][0] == HERE + "unknown/"
    assert "“diary.ics”" not in done.content.decode()
    local = [(f"{row.starts:%m-%d %H:%M}", row.what) for row in Booking.objects.all()]
    run = ["05", "07", "15", "19", "21", "26", "28"]
    assert [day for day, what in local if what == "unknown"] == [
        *(f"01-{day} 19:30" for day in run[:5]), "01-22 18:00", "01-25 00:00",
        "01-26 19:30", "01-28 19:30", *(f"02-0{day} 19:30" for day in (2, 4, 9)),
    ]  # fmt: skip
    assert [pair for pair in local if pair[1] != "unknown"] == [
        ("01-18 00:00", "dark"), ("01-20 09:00", "load_in"),
    ]  # fmt: skip
    assert Venue.objects.get().calendar_known_until.isoformat() == "2027-02-28"
    titles = {group.title: group for group in done.context["groups"]}
    assert list(titles) == ["Nine Lanterns", "Harbour ball, members only"]
    for title, what in zip(titles, ("performance", "other"), strict=True):
        answered = {"what": what, "leaves": [], "holds": "rule"}
        where = f"{HERE}unknown/{titles[title].first.pk}/"
        assert manager.get(where).status_code == 200
        assert manager.post(where, answered).status_code == 302
    assert not Booking.objects.filter(what="unknown").exists()
    again = send(manager, source, MESSY)
    assert again.context["comparison"].changes == []
    assert "Cancelled gala" not in manager.get(HERE).content.decode()


def words_of(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_what_a_file_would_do_is_told_in_the_words_of_the_house_and_in_whole_days(
    manager: Client, source: CalendarSource
) -> None:
    Venue.objects.update(dialect="en-GB")
    words = words_of(send(manager, source, MESSY))
    assert "Get-in" in words
    assert "Load-in" not in words
    assert "Dark Mon 18 Jan 2027, all day Tue 19 Jan 2027" in words
    Venue.objects.update(language="de")
    assert "Aufbau" in words_of(send(manager, source, MESSY))


def test_a_file_that_would_cancel_most_of_what_is_ahead_is_warned_of(
    manager: Client, source: CalendarSource
) -> None:
    confirm(manager, source, send(manager, source, MESSY).context["agreed"])
    ahead = Booking.objects.count()
    other = calendar_file(event("DTSTART:20270301T190000", "DURATION:PT2H", uid="other"))
    words = words_of(send(manager, source, other))
    assert f"{ahead} of {ahead} bookings ahead would be cancelled. " in words
    few = MESSY.replace(b"UNTIL=20270210", b"UNTIL=20270130")
    assert "bookings ahead would be cancelled" not in words_of(send(manager, source, few))


def test_nothing_is_changed_before_it_is_confirmed_nor_by_someone_elses_slip(
    manager: Client, source: CalendarSource, venue: Venue
) -> None:
    slip = send(manager, source, MESSY).context["agreed"]
    assert not Booking.with_cancelled.exists()
    second = Client()
    second.force_login(make_person(venue, "manager", "other"))
    for client, text in ((second, slip), (manager, slip + "x"), (manager, "")):
        answer = client.post(f"{HERE}calendars/{source.pk}/apply/", {"agreed": text})
        assert (answer.status_code, "too old or not yours" in answer.content.decode()) == (
            422,
            True,
        )
    with time_machine.travel(timezone.now() + timedelta(days=2)):
        assert confirm(manager, source, slip).status_code == 422
    assert not Booking.with_cancelled.exists()


def test_a_second_tap_changes_nothing_and_is_no_fault(
    manager: Client, source: CalendarSource
) -> None:
    slip = send(manager, source, MESSY).context["agreed"]
    for _ in range(2):
        done = confirm(manager, source, slip, "2027-02-28")
        assert (done.status_code, "is read:" in done.content.decode()) == (200, True)
    assert Booking.with_cancelled.count() == 14
    assert LogLine.objects.filter(did="add_booking").count() == 14
    assert LogLine.objects.filter(did="import_calendar").count() == 1


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "The file is empty"), (b"<html>", "no calendar file"),
        (MESSY[:-16], "cut off"), (MESSY + b" " * 5_000_000, "more than 5 MB"),
    ],
)  # fmt: skip
def test_what_is_no_calendar_is_refused_in_words(
    manager: Client, source: CalendarSource, content: bytes, words: str
) -> None:
    answer = send(manager, source, content)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert manager.post(f"{HERE}calendars/{source.pk}/try/", {}).status_code == 422


def test_an_entry_that_cannot_be_read_is_told_and_nothing_is_called_complete(
    manager: Client, source: CalendarSource
) -> None:
    odd = calendar_file(
        event("DTSTART:sometime", title="Odd one"), event("DTSTART:20270101T100000Z")
    )
    tried = send(manager, source, odd)
    assert "Odd one" in tried.content.decode()
    assert 'name="until"' not in tried.content.decode()
    refused = confirm(manager, source, tried.context["agreed"], "2027-02-28")
    assert "cannot be called complete" in refused.content.decode()
    assert not Booking.with_cancelled.exists()
    confirm(manager, source, tried.context["agreed"])
    assert Booking.objects.count() == 1


def test_it_is_fetched_by_a_button_and_tells_why_not(
    manager: Client, source: CalendarSource, monkeypatch: pytest.MonkeyPatch
) -> None:
    fetch = f"{HERE}calendars/{source.pk}/fetch/"
    assert "no address" in manager.post(fetch).content.decode()
    with calendar_server() as (address, handler):
        where = {"name": "Main stage", "address": address + "house.ics"}
        assert manager.post(f"{HERE}calendars/{source.pk}/", where).status_code == 302
        assert "machine that Loftbook runs on" in manager.post(fetch).content.decode()
        monkeypatch.setattr(calendar_address, "is_own_machine", lambda text: False)
        handler.content = MESSY
        tried = manager.post(fetch)
        assert tried.context["counts"]["new"] == 14
        confirm(manager, source, tried.context["agreed"])
    assert Booking.objects.count() == 14
    assert "Nobody answers" in manager.post(fetch).content.decode()
    assert not LogLine.objects.filter(body__contains="house.ics").exists()
    line = LogLine.objects.get(did="change_calendar")
    assert '"host":"127.0.0.1"' in line.body


def test_an_address_that_is_none_is_refused_at_the_form(manager: Client) -> None:
    for address in ("file:///etc/passwd", "house.ics", "https://a:b@larkspur.example/x"):
        answer = manager.post(HERE + "calendars/add/", {"name": "Main", "address": address})
        assert answer.status_code == 422
    assert not CalendarSource.objects.exists()
    for name, status in (("Main", 302), ("Main", 422)):
        sent = {"name": name, "address": "webcal://larkspur.example/x.ics"}
        assert manager.post(HERE + "calendars/add/", sent).status_code == status
    assert CalendarSource.objects.get().address == "https://larkspur.example/x.ics"


def test_the_daily_fetch_applies_what_is_harmless_and_leaves_the_rest_to_a_person(
    manager: Client, source: CalendarSource, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(calendar_address, "is_own_machine", lambda text: False)

    def tick(hours: int) -> tuple[int, str, bool]:
        asked = fetch_due_calendars(at=timezone.now() + timedelta(hours=hours))
        source.refresh_from_db()
        return asked, source.told, source.needs_a_look

    with calendar_server() as (address, handler):
        CalendarSource.objects.update(address=address + "house.ics")
        assert tick(0)[0] == 0  # nobody has looked at its first import yet
        handler.content = MESSY
        slip = manager.post(f"{HERE}calendars/{source.pk}/fetch/").context["agreed"]
        confirm(manager, source, slip)
        assert tick(0) == (1, "Nothing changed.", False)
        assert tick(1)[0] == 0
        handler.content = MESSY.replace(b"20270122T", b"20270123T")
        assert tick(21) == (1, "1 moved.", False)
        handler.content = calendar_file(event("DTSTART:20270301T100000Z", uid="new"))
        assert tick(42) == (
            1, "14 of 14 bookings ahead would be cancelled. Nothing was changed.", True,
        )  # fmt: skip
        assert Booking.objects.count() == 14
        assert "needs a look" in manager.get(HERE + "calendars/").content.decode()
        handler.content = b"<html>Sign in</html>"
        assert "no calendar file" in tick(45)[1]
        handler.content = MESSY
        assert tick(48) == (1, "1 moved.", False)


def test_pages_cost_the_same_queries_for_few_bookings_and_many(
    manager: Client, source: CalendarSource
) -> None:
    cost: dict[str, list[int]] = {}
    for count in (3, 9):
        names = [f"Hold {letter}" for letter in "ABCDEFGHI"[:count]]
        parts = [event(f"DTSTART:202702{10 + n}T100000Z", "DURATION:PT1H", uid=name, title=name)
                 for n, name in enumerate(names)]  # fmt: skip
        slip = send(manager, source, calendar_file(*parts)).context["agreed"]
        confirm(manager, source, slip)
        for page in ("", "?show=cancelled", "unknown/", "rules/", "calendars/"):
            with CaptureQueriesContext(connection) as queries:
                manager.get(HERE + page)
            cost.setdefault(page, []).append(len(queries))
    assert all(few == many for few, many in cost.values()), cost


def test_a_rule_is_tried_on_the_page_before_it_is_saved(
    manager: Client, source: CalendarSource
) -> None:
    confirm(manager, source, send(manager, source, MESSY).context["agreed"])
    rule = {
        "words": "lanterns",
        "where": "title",
        "what": "performance",
        "before": "1",
        "after": "0",
    }
    tried = manager.post(HERE + "rules/add/", rule | {"try": "yes"})
    assert "10 bookings ahead would be this" in tried.content.decode()
    assert BookingRule.objects.count() == 6
    assert manager.post(HERE + "rules/add/", rule).status_code == 302
    assert Booking.objects.filter(what="performance").count() == 10
    made = BookingRule.objects.get(words="lanterns")
    assert manager.post(f"{HERE}rules/{made.pk}/", rule | {"what": "rehearsal"}).status_code == 302
    assert Booking.objects.filter(what="rehearsal").count() == 10
    for wrong in ({"words": " , * "}, {"what": "unknown"}, {"before": "99"}, {"leaves": ["moon"]}):
        assert manager.post(HERE + "rules/add/", rule | wrong).status_code == 422
    assert manager.post(f"{HERE}rules/{made.pk}/remove/").status_code == 302
    assert Booking.objects.filter(what="unknown").count() == 12


def test_how_far_it_is_entered_can_be_said_and_taken_back(manager: Client) -> None:
    for text, shown in (("2027-06-30", "up to Wed 30 Jun 2027"), ("", "Nobody has said")):
        assert manager.post(HERE + "known/", {"until": text}).status_code == 302
        assert shown in manager.get(HERE).content.decode()
    assert manager.post(HERE + "known/", {"until": "22027-06-30"}).status_code == 422


def test_an_ended_calendar_is_gone_from_the_page_and_its_bookings_are_cancelled(
    manager: Client, source: CalendarSource
) -> None:
    confirm(manager, source, send(manager, source, MESSY).context["agreed"])
    end = f"{HERE}calendars/{source.pk}/end/"
    assert manager.get(end).status_code == 200
    assert manager.post(end).status_code == 302
    assert not Booking.objects.exists()
    assert "Nine Lanterns" in manager.get(HERE + "?show=cancelled").content.decode()
    assert manager.get(end).status_code == 404
