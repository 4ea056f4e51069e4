"""A mail to an auditor that the mail server did not take is tried again, and the manager is told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.test import Client, override_settings
from django.urls import reverse
from pytest_django import Settings

from inspections import jobs
from inspections.actions.ask_for_evidence import ask_for_evidence
from inspections.actions.audit_questions import answer_question, ask_question
from inspections.actions.desk_links import revoke_desk_link
from inspections.actions.mail_to_desk import TRIED_FOR, forget_old_desk_mails, send_desk_mails
from inspections.models import DeskLink, DeskMail, Job
from inspections.queries.desk_letters import letter_of
from tests.inspections.proof_house import AT, House, make_proof_house
from tests.inspections.test_desk_links import ADDRESS, HERE, NOW, OFFICE
from tests.mail_server import MailServer, mail_server
from venue.actions.send_letter import CONSOLE
from venue.letter import Letter

pytestmark = pytest.mark.django_db
TICK = timedelta(minutes=5)


@pytest.fixture
def house(settings: Settings, tmp_path: Path) -> House:
    settings.LOFTBOOK_FILES, settings.LOFTBOOK_KEYS = tmp_path / "files", tmp_path / "keys"
    return make_proof_house()


@pytest.fixture
def server(settings: Settings) -> Iterator[MailServer]:
    with mail_server() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        yield server


def gone(settings: Settings) -> None:
    """From now on nobody answers where the mail server was."""
    with mail_server() as closed:
        settings.EMAIL_PORT = closed.port


def words_of(message: Any) -> str:
    return str(message.get_body(("plain",)).get_content()).replace("\r\n", "\n")


def test_an_answer_waits_for_the_mail_server_and_is_sent_once(
    house: House, server: MailServer, settings: Settings
) -> None:
    port = server.port
    gone(settings)
    question = ask_question(venue=house.venue, about={}, text="Why?", by=house.ines, at=AT)
    answer_question(question=question, text="The set was up.", by=house.tam, at=AT)
    assert send_desk_mails(at=AT) == 0
    assert server.taken == []
    tried = DeskMail.objects.exclude(error="").get()  # the second one was not even tried
    assert "does not answer" in tried.error
    settings.EMAIL_PORT = port
    assert send_desk_mails(at=AT + TICK) == 2
    assert [to for to, _ in server.taken] == [[house.odile.email], [house.ines.email]]
    assert "The set was up." in words_of(server.taken[1][1])
    assert send_desk_mails(at=AT + 2 * TICK) == 0
    assert set(DeskMail.objects.values_list("state", "error")) == {("sent", "")}


def test_an_address_that_is_refused_holds_back_no_other_is_tried_again_and_told_to_the_manager(
    house: House, server: MailServer, caplog: pytest.LogCaptureFixture
) -> None:
    server.refused = {house.odile.email}
    question = ask_question(venue=house.venue, about={}, text="Why?", by=house.ines, at=AT)
    answer_question(question=question, text="The set was up.", by=house.tam, at=AT)
    assert send_desk_mails(at=AT) == 1
    assert [to for to, _ in server.taken] == [[house.ines.email]]
    error = DeskMail.objects.get(state="waiting").error
    assert error == "The mail server did not take it: SMTPRecipientsRefused 550."
    assert "SMTPRecipientsRefused 550" in caplog.text
    assert house.odile.email not in caplog.text
    client = Client()
    client.force_login(house.odile)
    with time_machine.travel(AT, tick=False):
        assert (
            "Messages do not go out" in client.get(reverse("overview", args=HERE)).content.decode()
        )
        page = client.get(reverse("message_choices", args=HERE)).content.decode()
    assert "Question of an auditor to Odile Varga" in page
    server.refused = set()
    assert send_desk_mails(at=AT + TICK) == 0
    assert send_desk_mails(at=AT + timedelta(hours=2)) == 1


@time_machine.travel(NOW, tick=False)
def test_a_bundle_is_told_of_later_and_not_once_it_is_gone(
    house: House, server: MailServer, settings: Settings
) -> None:
    port = server.port
    gone(settings)
    days = {"start": date(2026, 2, 1), "end": date(2026, 2, 2)}
    job, _ = ask_for_evidence(venue=house.venue, by=house.ines, at=NOW, **days)
    assert jobs.work_on(job.pk) == Job.State.DONE
    assert DeskMail.objects.get().state == "waiting"
    settings.EMAIL_PORT = port
    assert send_desk_mails(at=NOW + timedelta(days=6)) == 1
    ((to, message),) = server.taken
    assert to == [house.ines.email]
    assert Job.objects.get(pk=job.pk).result["sha256"] in words_of(message)
    DeskMail.objects.update(state="waiting", owed_at=NOW + timedelta(days=5))
    assert send_desk_mails(at=NOW + timedelta(days=8)) == 0
    assert DeskMail.objects.get().state == "nobody"


def make_link(house: House) -> tuple[str, str]:
    """The token, and what the manager is told."""
    client = Client()
    client.force_login(house.odile)
    typed = {"name": OFFICE, "address": ADDRESS, "last_day": "2026-06-14", "send": "on"}
    html = client.post(reverse("desk_links", args=HERE), typed).content.decode()
    (token,) = set(re.findall(r"/desk/([\w-]{40,})/", html))
    return token, html


@time_machine.travel(NOW, tick=False)
def test_a_link_waits_encrypted_and_its_secret_is_gone_from_the_book_once_it_was_sent(
    house: House, server: MailServer, settings: Settings
) -> None:
    port = server.port
    gone(settings)
    token, html = make_link(house)
    assert "tried again by itself for 7 days" in html
    assert "Until the mail is taken the link waits, encrypted." in html
    row = DeskMail.objects.get()
    assert row.sealed
    assert token not in str(DeskMail.objects.values())
    settings.EMAIL_PORT = port
    assert send_desk_mails(at=NOW + TICK) == 1
    ((to, message),) = server.taken
    assert to == [ADDRESS]
    assert token in words_of(message)
    assert DeskMail.objects.get().sealed == ""


@time_machine.travel(NOW, tick=False)
def test_a_link_that_was_revoked_or_whose_secret_cannot_be_opened_is_sent_to_nobody(
    house: House, server: MailServer, settings: Settings
) -> None:
    port = server.port
    gone(settings)
    make_link(house)
    settings.EMAIL_PORT, kept = port, settings.LOFTBOOK_KEY_SECRET
    settings.LOFTBOOK_KEY_SECRET = "another" * 12
    assert send_desk_mails(at=NOW) == 0
    row = DeskMail.objects.get()
    assert (row.state, row.sealed) == ("given up", "")
    assert "secret was changed" in row.error
    settings.LOFTBOOK_KEY_SECRET = kept
    revoke_desk_link(link=DeskLink.objects.get(), by=house.odile, at=NOW)
    DeskMail.objects.update(state="waiting", sealed="x", held_until=NOW)
    assert send_desk_mails(at=NOW) == 0
    assert DeskMail.objects.get().state == "nobody"
    assert server.taken == []


def test_after_seven_days_it_is_given_up_and_said_and_after_ninety_the_row_goes(
    house: House, server: MailServer, settings: Settings
) -> None:
    gone(settings)
    ask_question(venue=house.venue, about={}, text="Why?", by=house.ines, at=AT)
    assert send_desk_mails(at=AT + TRIED_FOR - TICK) == 0
    assert send_desk_mails(at=AT + TRIED_FOR) == 0
    row = DeskMail.objects.get()
    assert (row.state, "does not answer" in row.error) == ("given up", True)
    client = Client()
    client.force_login(house.odile)
    with time_machine.travel(AT + TRIED_FOR, tick=False):
        page = client.get(reverse("message_choices", args=HERE)).content.decode()
    assert "It was given up." in page
    assert forget_old_desk_mails(at=AT + timedelta(days=89)) == 0
    assert forget_old_desk_mails(at=AT + timedelta(days=91)) == 1


def test_without_a_mail_server_what_was_owed_for_seven_days_is_given_up_all_the_same(
    house: House,
) -> None:
    ask_question(venue=house.venue, about={}, text="Why?", by=house.ines, at=AT)
    DeskMail.objects.update(sealed="x")
    with override_settings(EMAIL_BACKEND=CONSOLE):
        assert send_desk_mails(at=AT + TRIED_FOR - TICK) == 0
        assert DeskMail.objects.get().state == "waiting"
        assert send_desk_mails(at=AT + TRIED_FOR) == 0
    assert DeskMail.objects.values_list("state", "sealed").get() == ("given up", "")


@pytest.mark.parametrize("fault", [ValueError("tam@larkspur.example"), KeyError("x")])
def test_a_mail_that_cannot_be_written_is_put_back_and_the_others_go(
    house: House, server: MailServer, monkeypatch: pytest.MonkeyPatch, fault: Exception,
    caplog: pytest.LogCaptureFixture,
) -> None:  # fmt: skip
    question = ask_question(venue=house.venue, about={}, text="Why?", by=house.ines, at=AT)
    answer_question(question=question, text="The set was up.", by=house.tam, at=AT)
    first = DeskMail.objects.order_by("pk")[0]

    def letter(row: DeskMail, at: datetime) -> Letter | None:
        if row == first:
            raise fault
        return letter_of(row, at)

    monkeypatch.setattr("inspections.actions.mail_to_desk.letter_of", letter)
    assert send_desk_mails(at=AT) == 1
    first.refresh_from_db()
    assert (first.state, first.attempts) == ("waiting", 1)
    assert first.error == f"It could not be written: {type(fault).__name__}."
    assert first.held_until == AT + timedelta(hours=2)
    assert "tam@" not in caplog.text


def test_a_mail_is_held_from_its_own_moment_not_from_the_beginning_of_the_tick(
    house: House, server: MailServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(2):
        ask_question(venue=house.venue, about={}, text=f"Why {number}?", by=house.ines, at=AT)
    held = []
    with time_machine.travel(AT, tick=False) as clock:

        def letter(row: DeskMail, at: datetime) -> None:
            held.append(DeskMail.objects.get(pk=row.pk).held_until)
            clock.shift(timedelta(minutes=4))

        monkeypatch.setattr("inspections.actions.mail_to_desk.letter_of", letter)
        send_desk_mails(at=AT)
    assert held[1] - held[0] == timedelta(minutes=4)
