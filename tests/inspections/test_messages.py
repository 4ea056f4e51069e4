"""Daily and weekly messages: to whom, once, by real mail, and stopped with one tap."""

from __future__ import annotations

import re
from collections.abc import Iterator
from copy import deepcopy
from datetime import UTC, date, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
import time_machine
from django.core import mail
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import Settings

from inspections.actions.message_choices import choose_messages, read_stop, stop_address
from inspections.actions.send_messages import forget_old_messages, send_messages
from inspections.models import Message, MessageChoice, Remedy
from inspections.queries.digests import digest_for, waiting_in
from tests.inspections.proof_house import (
    House,
    make_finding,
    make_proof_house,
    make_record,
    make_task,
)
from tests.mail_server import MailServer, mail_server
from tests.shared_rows import rows_of_a_file
from venue.models import Competence, LogLine, Membership, Person

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

# A Thursday, seven in the morning and a little at the Larkspur.
AT = datetime(2026, 2, 12, 7, 5, tzinfo=UTC)
TICK = timedelta(minutes=5)
DAY = timedelta(days=1)
MONDAY = datetime(2026, 2, 16, 7, 5, tzinfo=UTC)


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
def house(made: House, db: None) -> House:
    return deepcopy(made)


@pytest.fixture
def server(settings: Settings) -> Iterator[MailServer]:
    settings.LOFTBOOK_ADDRESS = "https://loft.larkspur.example"
    with mail_server() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        yield server


def by_address(server: MailServer) -> dict[str, Any]:
    assert all(len(to) == 1 for to, _ in server.taken)
    return {to[0]: message for to, message in server.taken}


def words_of(message: Any, kind: str = "plain") -> str:
    return str(message.get_body((kind,)).get_content()).replace("\r\n", "\n")


def test_each_is_sent_what_is_theirs_in_plain_text_and_as_a_page(
    house: House, server: MailServer
) -> None:
    assert send_messages(at=AT) == 2
    told = by_address(server)
    assert set(told) == {"tam@larkspur.example", "odile@larkspur.example"}
    tams = told["tam@larkspur.example"]
    subject = "The Larkspur, Thu 12 Feb 2026: 1 late, 1 coming, 1 late and nobody's"
    assert tams["Subject"].strip() == subject
    for words in (words_of(tams), words_of(tams, "html")):
        places = [words.lower().index(each) for each in ("late, and yours", "in the coming week")]
        assert places == sorted(places)
        assert "CW-01 Canopy winch: Running ropes of a winch, monthly" in words
        assert "last lawful day was Sun 1 Feb 2026" in words
        assert "A decision aid for competent people" in words
        assert "https://loft.larkspur.example/v/larkspur/messages/" in words
        assert tams["List-Unsubscribe"].strip()[1:-1] in words
    assert "1 late and nobody's" in told["odile@larkspur.example"]["Subject"]


def test_a_day_without_anything_to_say_sends_nothing_and_is_not_asked_again(
    house: House, server: MailServer
) -> None:
    send_messages(at=AT)
    assert Message.objects.get(person=house.priya).state == Message.State.NOTHING
    assert "priya@larkspur.example" not in by_address(server)
    make_task(house, 4, date(2026, 2, 12), person=house.priya)
    assert send_messages(at=AT + TICK) == 0
    assert send_messages(at=AT + DAY) == 3


def test_the_job_that_runs_twice_sends_once(house: House, server: MailServer) -> None:
    assert send_messages(at=AT) == 2
    assert send_messages(at=AT) == 0
    assert send_messages(at=AT + timedelta(hours=9)) == 0
    assert len(server.taken) == 2
    assert send_messages(at=AT + DAY) == 2


def test_what_another_worker_holds_is_left_to_it_until_it_must_have_crashed(
    house: House, server: MailServer
) -> None:
    Message.objects.create(
        venue=house.venue, person=house.tam, kind="daily", day=AT.date(), at=AT, held_until=AT + 2 * TICK
    )  # fmt: skip
    send_messages(at=AT)
    assert set(by_address(server)) == {"odile@larkspur.example"}
    send_messages(at=AT + 2 * TICK)
    assert "tam@larkspur.example" in by_address(server)
    assert len(server.taken) == 2


def test_nothing_comes_before_the_hour_of_the_house_nor_in_quiet_hours(
    house: House, server: MailServer
) -> None:
    house.venue.time_zone = "America/New_York"
    house.venue.save(update_fields=["time_zone"])
    assert send_messages(at=AT) == 0
    assert send_messages(at=AT + timedelta(hours=5)) == 2
    late = {"hour": 9, "quiet_from": 18, "quiet_until": 8}
    choose_messages(venue=house.venue, person=house.tam, fields=late, by=house.tam, at=AT)
    day = AT + DAY + timedelta(hours=5)  # seven in New York
    assert send_messages(at=day) == 1
    assert send_messages(at=day + timedelta(hours=2)) == 1
    assert not Message.objects.filter(day=day.date() + DAY).exists()


def test_the_manager_is_told_each_week_how_the_house_stands(
    house: House, server: MailServer
) -> None:
    make_finding(house, make_record(house))
    choose_messages(
        venue=house.venue, person=house.odile, fields={"daily": False}, by=house.odile, at=AT
    )
    send_messages(at=MONDAY)
    message = by_address(server)["odile@larkspur.example"]
    words = words_of(message)
    headings = re.findall(r"^[A-Z][A-Z ]{3,}", words, re.M)
    assert [each.strip() for each in headings] == [
        "LATE", "IN THE COMING TWO WEEKS", "COMPETENCE THAT LAPSES", "ORDERS THAT STAND",
        "ROPES THAT NEAR A LIMIT",
    ]  # fmt: skip
    assert "CW-01 Canopy winch: Line 3: broken wires" in words
    assert "None that the readings show." in words
    assert send_messages(at=MONDAY + DAY) == 1  # Tam's daily one; the week's was sent
    assert not Message.objects.filter(person=house.tam, kind="weekly").exists()


def test_an_order_with_a_remedy_waits_for_the_second_person(
    house: House, server: MailServer
) -> None:
    finding = make_finding(house, make_record(house))
    send_messages(at=AT)
    assert "FINDINGS WITHOUT A REMEDY" in words_of(by_address(server)["tam@larkspur.example"])
    Remedy.objects.create(finding=finding, what="New rope.", by=house.priya, at=AT)
    send_messages(at=AT + DAY)
    words = words_of(by_address(server)["tam@larkspur.example"])
    assert "FINDINGS WITHOUT A REMEDY" not in words
    assert "WAITING TO BE RETURNED TO SERVICE (1)" in words


def test_a_message_of_four_hundred_tasks_stays_short(house: House, server: MailServer) -> None:
    for number in range(10, 410):
        make_task(house, number, date(2026, 1, 20), person=house.tam)
    send_messages(at=AT)
    message = by_address(server)["tam@larkspur.example"]
    words = words_of(message)
    assert "and 389 more: https://loft.larkspur.example/v/larkspur/tasks/?show=late" in words
    assert "and 389 more</a>" in words_of(message, "html")
    assert len(words.splitlines()) < 70
    assert len(message.as_bytes()) < 30_000


def test_a_mail_server_that_is_gone_is_tried_again_at_the_next_tick_and_told_to_the_manager(
    house: House, settings: Settings
) -> None:
    with mail_server() as gone:
        port = gone.port
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
    assert send_messages(at=AT) == 0
    row = Message.objects.get(state="waiting")
    assert "does not answer" in row.error
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    assert send_messages(at=AT + TICK) == 2
    assert len(mail.outbox) == 2
    assert not Message.objects.filter(state="waiting").exists()


def test_an_address_that_is_refused_holds_back_no_other_and_is_tried_again_later(
    house: House, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    from django.core.mail.message import EmailMessage

    sent = EmailMessage.send

    def refuse_tam(self: EmailMessage, fail_silently: bool = False) -> int:
        if "tam" in self.to[0]:
            raise ConnectionError("no such mailbox")
        return sent(self, fail_silently)

    monkeypatch.setattr(EmailMessage, "send", refuse_tam)
    assert send_messages(at=AT) == 1
    assert "ConnectionError" in Message.objects.get(person=house.tam).error
    monkeypatch.undo()
    assert send_messages(at=AT + TICK) == 0
    assert send_messages(at=AT + timedelta(hours=2)) == 1


def test_without_a_mail_server_nothing_is_sent_or_noted(house: House, settings: Settings) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"
    assert send_messages(at=AT) == 0
    assert not Message.objects.exists()


def test_one_tap_in_a_mail_program_stops_that_kind_and_nothing_else(
    house: House, server: MailServer
) -> None:
    send_messages(at=AT)
    message = by_address(server)["tam@larkspur.example"]
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    link = message["List-Unsubscribe"].strip()  # a long one stands on a line of its own
    found = re.fullmatch(r"<https://loft\.larkspur\.example(/\S+)>", link)
    assert found
    program = Client(enforce_csrf_checks=True)
    looked = program.get(found[1])
    assert (looked.status_code, "Send me none any more" in looked.content.decode()) == (200, True)
    assert not MessageChoice.objects.exists()
    sent = program.post(found[1], {"List-Unsubscribe": "One-Click"})
    assert sent.status_code == 200
    choice = MessageChoice.objects.get()
    assert (choice.person, choice.daily, choice.weekly) == (house.tam, False, True)
    program.post(found[1], {"List-Unsubscribe": "One-Click"})
    line = LogLine.objects.get(did="choose_messages")
    assert line.by is None
    send_messages(at=AT + DAY)
    assert len([to for to, _ in server.taken if to == ["tam@larkspur.example"]]) == 1


def test_the_page_that_stops_messages_speaks_one_language(house: House) -> None:
    german = Client(headers={"accept-language": "de"})
    for kind, word in (("daily", "täglichen"), ("weekly", "wöchentlichen")):
        page = stop_address(house.venue, house.tam, kind)
        asked = german.get(page).content.decode()
        assert f"Keine {word} Nachrichten mehr von The Larkspur?" in asked
        assert f"Keine {word} Nachrichten mehr</h1>" in german.post(page).content.decode()


def test_a_link_of_somebody_else_s_making_or_of_one_who_left_stops_nothing(house: House) -> None:
    token = stop_address(house.venue, house.tam, "daily").rstrip("/").split("/")[-1]
    assert read_stop(token)
    for wrong in (token[:-1] + ("A" if token[-1] != "A" else "B"), "x", "a:b"):
        answer = Client().post(reverse("stop_messages", args=[wrong]))
        assert "This link stops nothing" in answer.content.decode()
    Membership.objects.filter(person=house.tam).update(ended_on=AT.date())
    assert read_stop(token) is None
    assert not MessageChoice.objects.exists()


def page(person: Person, post: dict[str, str] | None = None) -> Any:
    client = Client()
    client.force_login(person)
    address = reverse("message_choices", args=["larkspur"])
    return client.post(address, post, follow=True) if post else client.get(address)


def test_everybody_chooses_on_the_page_and_only_the_manager_has_a_weekly_one(house: House) -> None:
    assert "Each week" in page(house.odile).content.decode()
    assert "Each week" not in page(house.tam).content.decode()
    assert page(house.ines).status_code == 403
    typed = {"daily": "on", "hour": "9", "quiet_from": "20", "quiet_until": "8"}
    assert "Kept." in page(house.tam, typed).content.decode()
    choice = MessageChoice.objects.get()
    assert (choice.person, choice.daily, choice.hour) == (house.tam, True, 9)
    refused = page(house.tam, typed | {"hour": "21"})
    assert (refused.status_code, "nothing would ever come" in refused.content.decode()) == (
        422,
        True,
    )
    assert MessageChoice.objects.get().hour == 9


def test_the_manager_s_page_names_what_did_not_go_out(house: House) -> None:
    now = datetime.now(UTC)
    Message.objects.create(
        venue=house.venue, person=house.tam, kind="daily", day=now.date(), at=now, held_until=now,
        error="The mail server does not answer: refused.",
    )  # fmt: skip
    words = page(house.odile).content.decode()
    assert "Daily message to Tam Achterberg" in words
    assert "does not answer" in words
    assert "does not answer" not in page(house.tam).content.decode()
    client = Client()
    client.force_login(house.odile)
    assert "Messages do not go out" in client.get("/v/larkspur/").content.decode()


def test_yesterday_s_daily_message_is_given_up_and_tonight_warns_of_it_no_more(
    house: House,
) -> None:
    now = datetime.now(UTC)
    for kind, days in (("daily", 1), ("weekly", 2)):
        Message.objects.create(
            venue=house.venue, person=house.tam, kind=kind, day=now.date() - days * DAY, at=now,
            held_until=now, error="The mail server does not answer: refused.",
        )  # fmt: skip
    words = page(house.odile).content.decode()
    daily, weekly = sorted(re.findall(r'<li class="row">.*?</li>', words, re.DOTALL))
    assert ("Daily" in daily, "It was given up: its day is over." in daily) == (True, True)
    assert ("Weekly" in weekly, "It is tried again by itself." in weekly) == (True, True)
    client = Client()
    client.force_login(house.odile)
    assert "1 message waits" in client.get("/v/larkspur/").content.decode()
    Message.objects.filter(kind="weekly").delete()
    assert "Messages do not go out" not in client.get("/v/larkspur/").content.decode()


def test_what_is_late_leads_to_those_it_is_told_of(house: House) -> None:
    make_task(house, 30, date(2026, 2, 2), person=house.odile)
    make_task(house, 31, date(2026, 2, 2), person=house.odile).helpers.add(house.tam)
    waiting = waiting_in(house.venue, AT.date(), for_manager=False)
    sections = digest_for(house.venue, house.tam, "competent", "daily", waiting).sections
    client = Client()
    client.force_login(house.tam)
    seen = {}
    with time_machine.travel(AT, tick=False):
        for section in (one for one in sections if one.title.startswith("Late")):
            query = urlsplit(section.url)
            shown = client.get(f"{query.path}?{query.query}").content.decode()
            told = {urlsplit(line.url).path for line in section.lines}
            assert set(re.findall(r'href="(/v/larkspur/tasks/\d+/)"', shown)) == told
            seen[section.title] = len(told)
    assert seen == {"Late, and yours": 2, "Late, and nobody was given it": 1}


def test_an_order_is_told_to_whoever_may_return_it_and_to_nobody_else(house: House) -> None:
    finding = make_finding(house, make_record(house))

    def told(who: Person, role: str = "competent") -> bool:
        waiting = waiting_in(house.venue, AT.date(), for_manager=False)
        sections = digest_for(house.venue, who, role, "daily", waiting).sections
        return "Waiting to be returned to service" in [one.title for one in sections]

    for who in (house.tam, house.odile):
        Remedy.objects.create(finding=finding, what="New rope.", by=who, at=AT)
    assert not told(house.tam), "an earlier remedy is theirs"
    make_card(house, house.priya, until=AT.date() - DAY)
    assert not told(house.priya), "their competence has lapsed"
    make_card(house, house.priya, until=AT.date())
    assert told(house.priya)


def make_card(house: House, person: Person, until: date) -> None:
    Competence.objects.create(
        person=person, venue=house.venue, level="competent_person", certificate=f"TH until {until}",
        issued_by="Tern Harbour College", valid_from=date(2024, 1, 1), expires_on=until,
    )  # fmt: skip


def test_gathering_asks_the_same_number_of_questions_for_more_of_everything(house: House) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            waiting_in(house.venue, AT.date(), for_manager=True)
        return len(queries)

    make_finding(house, make_record(house))
    few = asked()
    for number in range(20, 26):
        make_task(house, number, date(2026, 2, 3), person=house.tam)
        make_finding(house, None, what=f"Worn {number}")
    assert asked() == few <= 10


def test_that_they_were_sent_is_forgotten_in_time(house: House, server: MailServer) -> None:
    send_messages(at=AT)
    assert forget_old_messages(at=AT + 80 * DAY) == 0
    assert forget_old_messages(at=AT + 92 * DAY) == 4
