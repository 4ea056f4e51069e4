"""An outside auditor is let in by a link, for some days, to look and to ask."""

from __future__ import annotations

import json
import logging
import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.contrib.sessions.models import Session
from django.core import mail
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from inspections.actions.desk_links import (
    LinkRefused,
    end_past_desk_links,
    make_desk_link,
    open_desk_link,
    revoke_desk_link,
)
from inspections.actions.forget_person import forget_person
from inspections.models import DeskLink
from inspections.queries.desk_links import address_for
from inspections.queries.log_check import check_log
from tests.inspections.proof_house import AT, House, make_proof_house, make_record
from venue.actions.people import end_membership
from venue.models import LogLine, Membership, Person
from venue.secret_paths import without_secrets

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
ADDRESS, OFFICE = "desk@insurer.example", "Halloran and partners"
HERE = ["larkspur"]


@pytest.fixture
def house(settings: Settings, tmp_path: Path) -> House:
    settings.LOFTBOOK_FILES, settings.LOFTBOOK_KEYS = tmp_path / "files", tmp_path / "keys"
    return make_proof_house()


def make(house: House, **changed: Any) -> tuple[DeskLink, str]:
    said = {"name": OFFICE, "address": ADDRESS, "last_day": date(2026, 6, 14)} | changed
    return make_desk_link(venue=house.venue, by=house.odile, at=NOW, **said)


def door(token: str) -> str:
    return reverse("open_desk_link", args=[token])


def enter(token: str) -> Client:
    client = Client()
    answer = client.post(door(token))
    assert answer.url == reverse("audit", args=HERE)
    return client


def told(did: str) -> list[dict[str, Any]]:
    return [json.loads(line.body) for line in LogLine.objects.filter(did=did).order_by("number")]


@time_machine.travel(NOW, tick=False)
def test_the_manager_makes_a_link_and_is_shown_it_once(house: House, settings: Settings) -> None:
    settings.LOFTBOOK_ADDRESS = "https://book.larkspur.example"
    client = Client()
    client.force_login(house.odile)
    typed = {"name": OFFICE, "address": ADDRESS, "last_day": "2026-06-14", "send": "on"}
    page = client.post(reverse("desk_links", args=HERE), typed)
    html = page.content.decode()
    (where,) = re.findall(r"https://book\.larkspur\.example/desk/[\w-]+/", html)
    token = where.split("/")[-2]
    assert len(token) >= 43  # 256 bits
    assert page["Cache-Control"] == "no-store"
    (letter,) = mail.outbox
    assert (letter.to, where in letter.body) == ([ADDRESS], True)
    assert token not in client.get(reverse("desk_links", args=HERE)).content.decode()
    link = DeskLink.objects.get()
    assert token not in str(DeskLink.objects.values())
    assert not link.person.has_usable_password()
    assert link.person.email.endswith("@desk-link.invalid")
    (line,) = told("make_desk_link")
    for word in (OFFICE, ADDRESS, token):
        assert word not in json.dumps(line)
    again = client.post(reverse("desk_links", args=HERE), typed)
    assert "has a link until 14 June 2026 already" in again.content.decode()
    assert DeskLink.objects.count() == 1


@time_machine.travel(NOW, tick=False)
def test_without_a_mail_server_the_link_is_not_written_to_the_terminal(
    house: House, settings: Settings, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"
    client = Client()
    client.force_login(house.odile)
    typed = {"name": OFFICE, "address": ADDRESS, "last_day": "2026-06-14", "send": "on"}
    html = client.post(reverse("desk_links", args=HERE), typed).content.decode()
    assert "was not sent. Hand it over yourself" in html
    assert "/desk/" not in capsys.readouterr().out


@pytest.mark.parametrize("last_day", [date(2026, 5, 31), date(2026, 8, 31)])
def test_a_link_ends_within_ninety_days(house: House, last_day: date) -> None:
    with pytest.raises(LinkRefused, match="to 30 August 2026"):
        make(house, last_day=last_day)
    assert make(house, last_day=date(2026, 8, 30))


@time_machine.travel(NOW, tick=False)
def test_looking_at_the_door_signs_nobody_in_and_opening_it_is_logged(house: House) -> None:
    record = make_record(house, answers=[])
    link, token = make(house)
    client = Client()
    shown = client.get(door(token))
    assert (shown.status_code, shown["Referrer-Policy"]) == (200, "strict-origin")
    assert "until 14 June 2026" in shown.content.decode()
    assert told("open_desk_link") == []
    assert client.get(reverse("audit", args=HERE)).status_code == 302
    guest = enter(token)
    assert told("open_desk_link")[0]["by"] == told("make_desk_link")[0]["after"]["person"]
    html = guest.get(reverse("audit", args=HERE)).content.decode()
    assert "by a link until 14 Jun 2026" in html
    assert guest.get(reverse("record", args=["larkspur", record.pk])).status_code == 200
    assert guest.get("/v/tern-studio/audit/").status_code == 404
    ends = Session.objects.get(session_key=guest.session.session_key).expire_date
    assert (
        ends == link.ends_at == datetime(2026, 6, 14, 23, 0, tzinfo=UTC)
    )  # midnight in summer time
    assert check_log(house.venue).faults == []


def test_a_link_that_nobody_made_opens_nothing(house: House) -> None:
    _, token = make(house)
    for wrong in (token[:-1] + ("a" if token[-1] != "a" else "b"), "x", "0" * 43):
        for answer in (Client().get(door(wrong)), Client().post(door(wrong))):
            assert answer.status_code == 404


def test_a_link_that_has_ended_says_so_and_its_browser_gets_nothing(house: House) -> None:
    _, token = make(house)
    with time_machine.travel(datetime(2026, 6, 14, 22, 59, 59, tzinfo=UTC), tick=False):
        guest = enter(token)
        assert guest.get(reverse("audit", args=HERE)).status_code == 200
    with time_machine.travel(datetime(2026, 6, 14, 23, 0, tzinfo=UTC), tick=False):
        assert guest.get(reverse("audit", args=HERE)).status_code == 302
        for answer in (guest.get(door(token)), guest.post(door(token))):
            assert answer.status_code == 410
            assert "good until 14 June 2026" in answer.content.decode()
        assert len(told("open_desk_link")) == 1
        assert end_past_desk_links(at=datetime.now(UTC)) == 1
        assert end_past_desk_links(at=datetime.now(UTC)) == 0
    assert Membership.objects.get(desk_link__isnull=False).ended_on == date(2026, 6, 15)
    assert len(told("end_desk_link")) == 1


@time_machine.travel(NOW, tick=False)
def test_a_link_is_revoked_at_once_and_its_browser_is_told(house: House) -> None:
    link, token = make(house)
    guest, manager = enter(token), Client()
    manager.force_login(house.odile)
    assert "Opened 1 time" in manager.get(reverse("desk_links", args=HERE)).content.decode()
    manager.post(reverse("revoke_desk_link", args=["larkspur", link.pk]))
    answer = guest.get(reverse("audit", args=HERE))
    assert (answer.status_code, "was revoked" in answer.content.decode()) == (403, True)
    assert guest.get(reverse("audit", args=HERE)).status_code == 302  # signed out
    assert guest.post(door(token)).status_code == 410
    revoke_desk_link(link=link, by=house.odile, at=NOW)
    assert len(told("revoke_desk_link")) == 1
    assert "revoked 1 Jun 2026" in manager.get(reverse("desk_links", args=HERE)).content.decode()
    assert make(house)  # another for the same address


@time_machine.travel(NOW, tick=False)
def test_ending_the_role_ends_the_link(house: House) -> None:
    link, token = make(house)
    guest = enter(token)
    end_membership(membership=link.membership, by=house.odile, at=NOW)
    assert guest.get(reverse("audit", args=HERE)).status_code == 403
    assert guest.post(door(token)).status_code == 410


@time_machine.travel(NOW, tick=False)
def test_a_manager_who_opens_the_link_is_the_auditor_from_then_on(house: House) -> None:
    _, token = make(house)
    client = Client()
    client.force_login(house.odile)
    assert "signed in as Odile Varga" in client.get(door(token)).content.decode()
    client.post(door(token))
    answer = client.post(reverse("add_person", args=HERE), {})
    assert (answer.status_code, "shows and asks" in answer.content.decode()) == (403, True)


def test_only_the_manager_makes_and_revokes_links(house: House) -> None:
    link, _ = make(house)
    for person, status in ((house.tam, 403), (house.ines, 403), (house.stranger, 404)):
        client = Client()
        client.force_login(person)
        for answer in (
            client.get(reverse("desk_links", args=HERE)),
            client.post(reverse("revoke_desk_link", args=["larkspur", link.pk])),
        ):
            assert answer.status_code == status
    assert DeskLink.objects.get().revoked_at is None


def test_the_database_keeps_link_and_end_as_they_were_made(house: House) -> None:
    link, _ = make(house)
    for changed in ({"ends_at": AT}, {"token_sha256": "0" * 64}):
        with pytest.raises(IntegrityError), transaction.atomic():
            DeskLink.objects.filter(pk=link.pk).update(**changed)


@time_machine.travel(NOW, tick=False)
def test_an_auditor_who_came_by_a_link_can_be_forgotten(house: House) -> None:
    link, _ = make(house)
    open_desk_link(link=link, at=NOW)
    assert address_for(link.person, NOW) == ADDRESS
    revoke_desk_link(link=link, by=house.odile, at=NOW)
    forget_person(
        venue=house.venue, person=link.person, basis="law", reason="Asked for it.", by=house.odile,
        at=NOW,
    )  # fmt: skip
    assert DeskLink.objects.get().address == address_for(link.person, NOW) == ""
    assert OFFICE not in Person.objects.get(pk=link.person.pk).name
    assert check_log(house.venue).faults == []


def test_the_token_does_not_reach_the_servers_log(
    house: House, caplog: pytest.LogCaptureFixture
) -> None:
    _, token = make(house)
    with caplog.at_level(logging.INFO), time_machine.travel(NOW + timedelta(days=60)):
        Client().get(door(token))  # 410, of which Django warns with the path
    lines = [without_secrets(record.getMessage()) for record in caplog.records]
    assert any("/desk/…" in line for line in lines)
    assert not any(token in line for line in lines)
