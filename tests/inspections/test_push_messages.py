"""Daily and weekly messages to devices: by real web push, once, and nothing said that a lock screen
should not show."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import jwt
import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from pytest_django import Settings

from inspections.actions import push_messages as pushing
from inspections.actions.forget_person import forget_person
from inspections.actions.message_choices import choose_messages
from inspections.actions.push_devices import (
    CannotAllow,
    allow_device,
    remove_dead_devices,
)
from inspections.actions.push_messages import push_messages
from inspections.actions.send_messages import send_messages
from inspections.jobs import HOUSEKEEPING
from inspections.models import Message, PushDevice
from inspections.queries.messages import mails_to_try, pushes_to_try, unsent
from inspections.queries.push_devices import devices_of, push_sender
from tests.inspections.proof_house import (
    House,
    make_finding,
    make_proof_house,
    make_record,
    make_task,
)
from tests.mail_server import MailServer, mail_server
from tests.push_service import CONTACT, HOST, KEY, Browser, PushService, push_service
from tests.shared_rows import rows_of_a_file
from venue.actions.people import end_membership
from venue.models import LogLine, Membership, Person
from venue.push.letters import read
from venue.push.service import NotNow

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

# A Thursday, seven in the morning and a little at the Larkspur.
AT = datetime(2026, 2, 12, 7, 5, tzinfo=UTC)
TICK = timedelta(minutes=5)
DAY = timedelta(days=1)
MONDAY = datetime(2026, 2, 16, 7, 5, tzinfo=UTC)
AGENT = (
    "Mozilla/5.0 (Linux; Android 15; K) AppleWebKit/537.36 Chrome/142.0.0.0 Mobile Safari/537.36"
)


@pytest.fixture(scope="module")
def made(django_db_setup: None, django_db_blocker: Any) -> Iterator[House]:
    """Tam has a late task and one of this week; nobody was given a third."""
    with rows_of_a_file(django_db_blocker):
        with django_db_blocker.unblock():
            house = make_proof_house()
            make_task(house, 1, date(2026, 2, 1), person=house.tam)
            make_task(house, 2, date(2026, 2, 13), person=house.tam)
            make_task(house, 3, date(2026, 2, 5))
        yield house


@pytest.fixture
def house(made: House, db: None, settings: Settings) -> House:
    settings.LOFTBOOK_PUSH, settings.LOFTBOOK_PUSH_KEY = True, KEY
    settings.LOFTBOOK_PUSH_CONTACT = CONTACT
    settings.LOFTBOOK_ADDRESS = "https://loft.larkspur.example"
    return deepcopy(made)


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[PushService]:
    with push_service(tmp_path, monkeypatch) as service:
        yield service


@pytest.fixture
def server(settings: Settings) -> Iterator[MailServer]:
    with mail_server() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        yield server


def allow(person: Person, name: str, at: datetime = AT) -> Browser:
    browser = Browser(name)
    allow_device(person=person, agent=AGENT, at=at, **browser.given)
    return browser


def choose(house: House, person: Person, **fields: Any) -> None:
    choose_messages(venue=house.venue, person=person, fields=fields, by=person, at=AT)


@pytest.fixture
def tams(house: House) -> Browser:
    """Tam's phone; his daily message goes to it and not by mail."""
    choose(house, house.tam, daily_by="phone")
    return allow(house.tam, "tam")


def mailed(server: MailServer) -> list[str]:
    return sorted(to for receivers, _ in server.taken for to in receivers)


def test_a_phone_is_told_how_much_there_is_and_where(
    house: House, service: PushService, tams: Browser
) -> None:
    assert push_messages(at=AT) == 1
    (taken,) = service.taken
    told = json.loads(tams.reads(taken.body))
    assert told["title"] == "The Larkspur"
    assert told["body"] == "What is yours: 1 late, 1 coming, 1 late and nobody's"
    assert told["data"]["url"] == "/v/larkspur/messages/now/daily/"
    assert told["data"]["stop"].startswith("/messages/stop/")
    assert (told["tag"], told["lang"]) == ("daily larkspur", "en")
    assert told["actions"] == [{"action": "stop", "title": "No more of these"}]
    row = Message.objects.get(device__isnull=False)
    assert (row.person, row.state, row.day) == (house.tam, Message.State.SENT, AT.date())


def test_the_headers_are_those_of_the_standards_and_end_with_the_quiet_hours(
    house: House, service: PushService, tams: Browser
) -> None:
    choose(house, house.tam, quiet_from=9, quiet_until=6)
    push_messages(at=AT)
    headers = service.taken[0].headers
    assert headers["TTL"] == str(115 * 60)  # from 7:05 until nine
    assert (headers["Content-Encoding"], headers["Urgency"]) == ("aes128gcm", "normal")
    assert 0 < len(headers["Topic"]) <= 32, "RFC 8030, section 5.4"
    assert len(read(headers["Topic"])) == 18
    scheme, t, k = headers["Authorization"].replace(",", "").split(" ")
    assert scheme == "vapid"
    point = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), read(k.removeprefix("k=")))
    claims = jwt.decode(
        t.removeprefix("t="), point, algorithms=["ES256"], audience=f"https://{HOST}",
        options={"verify_exp": False},
    )  # fmt: skip
    assert claims["sub"] == f"mailto:{CONTACT}"


def test_nothing_of_a_lock_screen_names_a_person_a_thing_or_what_was_found(
    house: House, service: PushService
) -> None:
    finding = make_finding(house, make_record(house), what="Worn through by drum")
    browsers = {}
    for person in (house.tam, house.odile, house.priya):
        choose(house, person, daily_by="both", weekly_by="both")
        browser = allow(person, str(person.pk))
        browsers[f"/send/{browser.name}"] = browser
    assert push_messages(at=MONDAY) == len(service.taken) == 3
    names = [person.name for person in Person.objects.all()]
    parts = [part for name in names for part in name.split()]
    words = {*names, *parts, *finding.what.split(), "CW-01", "winch"}
    for each in service.taken:
        told = json.loads(browsers[each.path].reads(each.body))
        shown = json.dumps({name: told[name] for name in told if name != "data"}).casefold()
        assert [word for word in words if word.casefold() in shown] == []


def test_one_is_sent_once_however_often_the_job_runs(
    house: House, service: PushService, tams: Browser
) -> None:
    assert [push_messages(at=AT), push_messages(at=AT), push_messages(at=AT + 9 * TICK)] == [
        1,
        0,
        0,
    ]
    assert push_messages(at=AT + DAY) == 1
    assert len(service.taken) == 2


def test_by_mail_on_the_phone_or_both_is_what_was_chosen(
    house: House, service: PushService, server: MailServer, tams: Browser
) -> None:
    def at_day(number: int) -> tuple[int, list[str]]:
        service.taken.clear()
        server.taken.clear()
        at = AT + number * DAY
        send_messages(at=at)
        push_messages(at=at)
        return len(service.taken), [to for to in mailed(server) if to.startswith("tam")]

    assert at_day(0) == (1, [])
    choose(house, house.tam, daily_by="both")
    assert at_day(1) == (1, ["tam@larkspur.example"])
    choose(house, house.tam, daily_by="mail")
    assert at_day(5) == (0, ["tam@larkspur.example"])
    choose(house, house.tam, daily=False, daily_by="both")
    assert at_day(6) == (0, [])


def test_each_device_gets_it_and_one_allowed_later_that_day_too(
    house: House, service: PushService, tams: Browser
) -> None:
    allow(house.tam, "desk")
    assert push_messages(at=AT) == 2
    allow(house.tam, "tablet")
    assert push_messages(at=AT + TICK) == 1
    assert [each.path for each in service.taken] == ["/send/tam", "/send/desk", "/send/tablet"]


def test_it_keeps_to_the_hour_and_to_quiet_hours(
    house: House, service: PushService, tams: Browser
) -> None:
    choose(house, house.tam, hour=9, quiet_from=18, quiet_until=8)
    assert push_messages(at=AT) == 0
    assert push_messages(at=AT + timedelta(hours=12)) == 0
    assert push_messages(at=AT + timedelta(hours=2)) == 1


def test_a_day_without_anything_to_say_says_nothing(house: House, service: PushService) -> None:
    choose(house, house.priya, daily_by="phone")
    allow(house.priya, "priya")
    assert push_messages(at=AT) == 0
    assert service.taken == []
    assert Message.objects.get().state == Message.State.NOTHING


@pytest.mark.parametrize("status", [404, 410])
def test_a_device_that_is_gone_is_forgotten_and_the_message_comes_by_mail(
    house: House, service: PushService, server: MailServer, tams: Browser, status: int
) -> None:
    service.answer_with(tams, status)
    send_messages(at=AT)
    assert push_messages(at=AT) == 0
    assert "tam@larkspur.example" not in mailed(server)
    assert not PushDevice.objects.exists()
    send_messages(at=AT + TICK)
    assert "tam@larkspur.example" in mailed(server)


def test_a_service_that_wants_time_is_asked_when_it_said(
    house: House, service: PushService, tams: Browser
) -> None:
    service.answer_with(tams, 429, Retry_After="1200")
    assert push_messages(at=AT) == 0
    row = Message.objects.get()
    assert (row.state, row.held_until) == (Message.State.WAITING, AT + timedelta(minutes=20))
    assert row.error == f"The push service {HOST} did not take it. It answered 429."
    assert "send" not in row.error  # the rest of the address is a secret
    assert push_messages(at=AT + 3 * TICK) == 0
    service.answers.clear()
    assert push_messages(at=AT + 4 * TICK) == 1
    assert len(service.taken) == 2
    assert Message.objects.get().error == ""


def test_what_a_service_refuses_is_told_to_the_manager_and_tried_two_hours_later(
    house: House, service: PushService, tams: Browser
) -> None:
    service.answer_with(tams, 413)
    push_messages(at=AT)
    (told,) = unsent(house.venue, AT.date())
    assert (told.row.person, "413" in told.row.error) == (house.tam, True)
    assert push_messages(at=AT + timedelta(hours=1)) == 0
    assert len(service.taken) == 1
    service.answers.clear()
    assert push_messages(at=AT + timedelta(hours=2)) == 1


def test_a_service_that_hangs_is_waited_for_once_in_a_tick(
    house: House, service: PushService, tams: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand, patience = pushing.hand_to_service, [1.0]
    monkeypatch.setattr(
        pushing, "hand_to_service", lambda *given: hand(*given, seconds=patience[0])
    )  # fmt: skip
    for number in range(4):
        allow(house.tam, f"more-{number}")
    service.hang |= {
        each.endpoint.removeprefix(f"https://{HOST}") for each in PushDevice.objects.all()
    }
    assert push_messages(at=AT) == 0
    assert len(service.taken) == 1
    told = [one.row.error for one in unsent(house.venue, AT.date())]
    assert len(told) == 5, "the manager hears of each"
    assert set(told) == {f"The push service {HOST} did not take it. It did not answer in time."}
    service.hang.clear()
    patience[0] = 60.0
    assert push_messages(at=AT + TICK) == 5


def test_what_is_stuck_keeps_nobody_else_waiting(
    house: House, service: PushService, tams: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pushing, "MOST_AT_ONCE", 2)
    for number in range(3):
        service.answer_with(allow(house.tam, f"stuck-{number}"), 503)
    service.answer_with(tams, 503)
    allow(house.tam, "well")
    assert [push_messages(at=AT + number * TICK) for number in range(3)] == [0, 0, 1]
    assert len(service.taken) == 6


def test_devices_of_a_silent_service_take_no_place_from_others(
    house: House, service: PushService, tams: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pushing, "MOST_AT_ONCE", 2)
    ask, asked = pushing.hand_to_service, []

    def hand(endpoint: str, *given: Any) -> None:
        asked.append(endpoint)
        if "silent" in endpoint:
            raise NotNow("It did not answer in time.", silent=True)
        ask(endpoint, *given)

    monkeypatch.setattr(pushing, "hand_to_service", hand)
    PushDevice.objects.all().delete()
    for number in range(4):
        browser = Browser(f"{number}")
        given = {**browser.given, "endpoint": f"https://silent.example.net/{number}"}
        allow_device(person=house.tam, agent=AGENT, at=AT, **given)
    well = allow(house.tam, "well")
    assert push_messages(at=AT) == 1
    assert asked == ["https://silent.example.net/0", well.endpoint]
    assert Message.objects.filter(error__contains="silent.example.net").count() == 4


def test_a_fault_with_one_device_is_told_and_stops_nobody_else(
    house: House, service: PushService, tams: Browser, monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:  # fmt: skip
    allow(house.tam, "other")
    ask = pushing.hand_to_service

    def hand(endpoint: str, *given: Any) -> None:
        if endpoint == tams.endpoint:
            raise OverflowError
        ask(endpoint, *given)

    monkeypatch.setattr(pushing, "hand_to_service", hand)
    assert push_messages(at=AT) == 1
    assert "OverflowError" in caplog.text
    assert tams.endpoint not in caplog.text
    (told,) = unsent(house.venue, AT.date())
    row = told.row
    assert row.error == "The message could not be sent; the log of the server says why."
    assert row.held_until == AT + timedelta(hours=2)


@pytest.mark.parametrize("status", [404, 410])
def test_a_device_that_is_gone_on_a_day_of_both_messages_is_asked_once(
    house: House, service: PushService, status: int
) -> None:
    make_finding(house, make_record(house))
    choose(house, house.odile, daily_by="phone", weekly_by="phone")
    gone = allow(house.odile, "gone")
    assert len(pushes_to_try(house.venue, MONDAY)) == 2
    service.answer_with(gone, status)
    choose(house, house.tam, daily_by="phone")
    allow(house.tam, "tam")
    assert push_messages(at=MONDAY) == 1
    assert sorted(each.path for each in service.taken) == ["/send/gone", "/send/tam"]


def test_an_address_inside_the_house_is_never_asked(house: House) -> None:
    """With nothing exchanged: as an installation runs."""
    choose(house, house.tam, daily_by="phone")
    browser = Browser("x")
    given = {**browser.given, "endpoint": "https://127.0.0.1/send/x"}
    allow_device(person=house.tam, agent=AGENT, at=AT, **given)
    assert push_messages(at=AT) == 0
    assert "a network of the house" in Message.objects.get().error


def test_off_nothing_is_sent_and_nothing_can_be_allowed(
    house: House, service: PushService, server: MailServer, tams: Browser, settings: Settings
) -> None:
    for off in ({"LOFTBOOK_PUSH": False}, {"LOFTBOOK_PUSH_KEY": ""}):
        settings.LOFTBOOK_PUSH, settings.LOFTBOOK_PUSH_KEY = True, KEY
        for name, value in off.items():
            setattr(settings, name, value)
        assert push_sender() is None
        assert push_messages(at=AT) == 0
        with pytest.raises(CannotAllow, match="not switched on"):
            allow(house.tam, "other")
    assert service.taken == []
    send_messages(at=AT)
    assert "tam@larkspur.example" in mailed(server)  # it is not lost


def test_a_device_asked_with_another_key_is_of_no_use_and_goes(
    house: House, service: PushService, tams: Browser, settings: Settings
) -> None:
    settings.LOFTBOOK_PUSH_KEY = KEY[:-1] + ("A" if KEY[-1] != "A" else "E")
    assert push_messages(at=AT) == 0
    assert service.taken == []
    assert remove_dead_devices(at=AT) == 1
    assert not PushDevice.objects.exists()


def test_who_holds_no_role_any_more_has_no_device(house: House, tams: Browser) -> None:
    allow(house.priya, "priya")
    assert remove_dead_devices(at=AT) == 0
    member = Membership.objects.get(venue=house.venue, person=house.tam)
    end_membership(membership=member, by=house.odile, at=AT)
    assert remove_dead_devices(at=AT) == 1
    assert [each.person for each in PushDevice.objects.all()] == [house.priya]


def test_a_device_in_other_hands_is_the_others_alone(house: House, tams: Browser) -> None:
    allow_device(person=house.priya, agent=AGENT, at=AT, **tams.given)
    assert [devices_of(house.tam), len(devices_of(house.priya))] == [[], 1]


def test_the_same_device_again_is_one_row_with_its_newer_keys(house: House, tams: Browser) -> None:
    newer = Browser("tam")
    allow_device(person=house.tam, agent="Firefox on Linux", at=AT + DAY, **newer.given)
    row = PushDevice.objects.get()
    assert (row.auth, row.label, row.since) == (newer.given["auth"], "Linux, Firefox", AT)


def test_nobody_fills_the_table_with_devices(house: House, tams: Browser) -> None:
    for number in range(9):
        allow(house.tam, f"more-{number}")
    with pytest.raises(CannotAllow, match="10 devices already"):
        allow(house.tam, "eleventh")
    allow(house.tam, "more-3")
    assert len(devices_of(house.tam)) == 10


@pytest.mark.parametrize(
    "changed",
    [{"endpoint": "http://push.example.net/x"}, {"endpoint": "https://x:y@push.example.net/"},
     {"endpoint": "https://push.example.net/" + "x" * 1000}, {"p256dh": "x"}, {"auth": ""}],
)  # fmt: skip
def test_what_no_browser_gives_is_not_kept(house: House, changed: dict[str, str]) -> None:
    with pytest.raises(CannotAllow, match="gave no address"):
        allow_device(person=house.tam, agent="", at=AT, **{**Browser("x").given, **changed})
    assert not PushDevice.objects.exists()


def test_who_is_forgotten_has_no_device_and_no_row(
    house: House, service: PushService, tams: Browser
) -> None:
    push_messages(at=AT)
    member = Membership.objects.get(venue=house.venue, person=house.tam)
    end_membership(membership=member, by=house.odile, at=AT)
    forget_person(
        venue=house.venue, person=house.tam, basis="law", reason="Asked for in writing.",
        by=house.odile, at=AT,
    )  # fmt: skip
    assert not PushDevice.objects.exists()
    assert not Message.objects.filter(person=house.tam).exists()


def test_no_log_line_tells_of_a_device(house: House, tams: Browser) -> None:
    bodies = " ".join(LogLine.objects.values_list("body", flat=True))
    assert "choose_messages" in bodies
    for secret in (tams.endpoint, tams.given["auth"], tams.given["p256dh"], "Android"):
        assert secret not in bodies


def test_it_speaks_the_language_of_its_reader(
    house: House, service: PushService, tams: Browser
) -> None:
    house.tam.language = "de"
    house.tam.save(update_fields=["language"])
    push_messages(at=AT)
    told = json.loads(tams.reads(service.taken[0].body))
    assert told["lang"] == "de"
    assert (
        told["body"] == "Was ansteht: 1 überfällig, 1 kommt, 1 überfällig und niemandem zugeteilt"
    )
    assert told["actions"][0]["title"] == "Nichts mehr davon"


def test_more_people_and_devices_ask_no_more_questions(house: House) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            mails_to_try(house.venue, AT)
            pushes_to_try(house.venue, AT)
        return len(queries)

    choose(house, house.tam, daily_by="both")
    allow(house.tam, "tam")
    few = asked()
    for person in (house.odile, house.priya):
        choose(house, person, daily_by="phone", weekly_by="phone")
        for number in range(3):
            allow(person, f"{person.pk}-{number}")
    assert asked() <= few + 1 <= 8


def test_it_is_the_last_work_of_a_tick() -> None:
    assert HOUSEKEEPING[-1] is push_messages
    assert remove_dead_devices in HOUSEKEEPING


# --- the pages ---------------------------------------------------------------------------------


def client_of(person: Person) -> Client:
    client = Client(headers={"user-agent": AGENT})
    client.force_login(person)
    return client


PAGE = "/v/larkspur/messages/"


def test_a_device_is_allowed_listed_and_removed_on_the_page(house: House) -> None:
    client, browser = client_of(house.tam), Browser("tam")
    html = client.get(PAGE).content.decode()
    assert "No device is allowed yet" in html
    assert f'data-push-key="{push_sender().public}"' in html
    html = client.post(f"{PAGE}devices/", browser.given, follow=True).content.decode()
    assert "Android, Chrome" in html
    assert browser.endpoint not in html
    row = PushDevice.objects.get(person=house.tam)
    for other in (house.odile, house.priya):
        assert client_of(other).post(f"{PAGE}devices/{row.pk}/").status_code == 404
        assert "Android, Chrome" not in client_of(other).get(PAGE).content.decode()
        client_of(other).post(f"{PAGE}devices/none/")
    assert list(PushDevice.objects.visible_to(house.odile)) == []
    assert PushDevice.objects.count() == 1
    assert "Removed." in client.post(f"{PAGE}devices/{row.pk}/", follow=True).content.decode()
    assert not PushDevice.objects.exists()


def test_all_are_removed_at_once(house: House, tams: Browser) -> None:
    allow(house.tam, "desk")
    allow(house.odile, "odile")
    client_of(house.tam).post(f"{PAGE}devices/none/")
    assert [each.person for each in PushDevice.objects.all()] == [house.odile]


def test_a_browser_that_gives_nothing_is_refused_in_words(house: House) -> None:
    html = client_of(house.tam).post(f"{PAGE}devices/", {}, follow=True).content.decode()
    assert "gave no address that a message could be sent to" in html
    assert client_of(house.ines).post(f"{PAGE}devices/", Browser("x").given).status_code == 403


def test_without_a_key_the_page_says_so_and_offers_nothing(
    house: House, settings: Settings
) -> None:
    settings.LOFTBOOK_PUSH_KEY = ""
    html = client_of(house.odile).get(PAGE).content.decode()
    assert "Messages to phones are not switched on here" in html
    assert "data-push-key" not in html
    assert "scripts/push" not in html
    assert "The daily message comes" not in html


def test_the_way_is_chosen_for_each_kind_on_the_page(house: House) -> None:
    typed = {
        "daily": "on", "daily_by": "phone", "weekly": "on", "weekly_by": "both", "hour": "8", "weekday": "1",
        "quiet_from": "22", "quiet_until": "6",
    }  # fmt: skip
    assert "Kept." in client_of(house.odile).post(PAGE, typed, follow=True).content.decode()
    choice = house.venue.message_choices.get(person=house.odile)
    assert (choice.daily_by, choice.weekly_by) == ("phone", "both")
    assert "The weekly message comes" not in client_of(house.tam).get(PAGE).content.decode()
    assert client_of(house.odile).post(PAGE, typed | {"daily_by": "pigeon"}).status_code == 422


def test_what_a_note_opens_is_the_message_itself_with_the_way_to_messages(
    house: House, service: PushService, tams: Browser
) -> None:
    push_messages(at=AT)
    told = json.loads(tams.reads(service.taken[0].body))["data"]
    make_task(house, 9, date(2026, 1, 20), person=house.tam)
    html = client_of(house.tam).get(told["url"]).content.decode()
    assert "Late, and yours" in html
    assert "CW-01 Canopy winch: Running ropes of a winch, monthly" in html
    assert f'href="{PAGE}"' in html
    assert "/messages/stop/" in html
    assert Client().get(told["url"]).status_code == 302
    stopped = Client().post(told["stop"])
    assert "No more daily messages" in stopped.content.decode()
    assert push_messages(at=AT + DAY) == 0


def test_the_weekly_message_is_the_managers(house: House) -> None:
    client = client_of(house.odile)
    assert f'href="{PAGE}now/weekly/"' in client.get(PAGE).content.decode()
    assert f'href="{PAGE}now/weekly/"' not in client_of(house.tam).get(PAGE).content.decode()
    assert "Ropes that near a limit" in client.get(f"{PAGE}now/weekly/").content.decode()
    assert client_of(house.tam).get(f"{PAGE}now/weekly/").status_code == 404
    assert client_of(house.odile).get(f"{PAGE}now/hourly/").status_code == 404
    assert client_of(house.ines).get(f"{PAGE}now/daily/").status_code == 403


def test_the_worker_shows_messages_only_where_they_are_switched_on(
    house: House, settings: Settings
) -> None:
    on = Client().get("/sw.js").content.decode()
    settings.LOFTBOOK_PUSH = False
    off = Client().get("/sw.js").content.decode()
    assert on.startswith(off.rstrip())
    assert ("showNotification" in on, "showNotification" in off) == (True, False)
