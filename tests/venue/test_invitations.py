"""Somebody is invited by a link, chooses a password of their own, and is in."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.test import Client
from django.utils import timezone

from tests.house import make_house
from venue.actions import invitations
from venue.models import Competence, LogLine, Membership, Person

pytestmark = pytest.mark.django_db

CONSOLE = "django.core.mail.backends.console.EmailBackend"
TYPED = {"name": "Tam Achterberg", "email": "tam@larkspur.example", "role": "competent"}
CARD = {
    "level": "competent_person", "certificate": "Card 7", "issued_by": "College",
    "valid_from": "2025-01-01", "expires_on": "2098-01-01",
}  # fmt: skip
OWN = "a-password-of-my-own"


@pytest.fixture
def house() -> Any:
    return make_house()


@pytest.fixture
def manager(house: Any) -> Client:
    client = Client()
    client.force_login(house.people["manager"])
    return client


def invite(client: Client, **changed: str) -> Any:
    return client.post("/v/larkspur/people/add/", TYPED | changed)


def link_in(words: str) -> str:
    found = re.search(r"http://localhost:8000(/invitation/[^\s<]+)", words)
    assert found, words
    return found[1]


def test_the_link_comes_by_mail_and_leads_in_once(manager: Client) -> None:
    assert invite(manager, **CARD).status_code == 302
    (sent,) = mail.outbox
    assert sent.to == ["tam@larkspur.example"]
    link, them = link_in(str(sent.body)), Client()
    assert "Welcome, Tam Achterberg" in them.get(link).content.decode()
    assert them.post(link, {"password": "short"}).status_code == 422
    assert them.post(link, {"password": OWN}).status_code == 302
    assert them.get("/v/larkspur/").status_code == 200
    assert Client().post(link, {"password": "another-of-somebody"}).status_code == 410
    tam = Person.objects.get(email="tam@larkspur.example")
    assert tam.check_password(OWN)
    assert Competence.objects.get(person=tam).certificate == "Card 7"
    did = [line.did for line in LogLine.objects.order_by("-number")[:3]]
    assert did == ["accept_invitation", "add_competence", "add_person"]


def test_without_a_mail_server_the_link_is_shown_once_to_hand_over(
    manager: Client, settings: Any
) -> None:
    settings.EMAIL_BACKEND = CONSOLE
    page = invite(manager).content.decode()
    assert "Hand this link to Tam Achterberg" in page
    assert Client().get(link_in(page)).status_code == 200
    assert "Invited, not here yet" in manager.get("/v/larkspur/people/").content.decode()


def test_a_new_link_ends_the_one_before(manager: Client) -> None:
    invite(manager)
    member = Membership.objects.get(person__email="tam@larkspur.example")
    assert manager.post(f"/v/larkspur/people/{member.pk}/invite/").status_code == 302
    first, second = (link_in(str(one.body)) for one in mail.outbox)
    assert Client().get(first).status_code == 410
    assert Client().get(second).status_code == 200


def test_a_link_grows_old_and_ends_with_the_role(manager: Client, house: Any) -> None:
    invite(manager)
    link = link_in(str(mail.outbox[0].body))
    with time_machine.travel(timezone.now() + invitations.GOOD_FOR + timedelta(minutes=1)):
        assert "older than seven days" in Client().get(link).content.decode()
    member = Membership.objects.get(person__email="tam@larkspur.example")
    manager.post(f"/v/larkspur/people/{member.pk}/end/")
    assert Client().get(link).status_code == 410


@pytest.mark.parametrize("token", ["nonsense", "a:b:c", "%00"])
def test_what_is_no_link_is_told_so(token: str) -> None:
    assert Client().get(f"/invitation/{token}/").status_code in (404, 410)


def test_whoever_has_a_password_gets_the_role_and_no_link(manager: Client, house: Any) -> None:
    other = house.people["other manager"]
    assert invite(manager, email=other.email, name="X").status_code == 302
    assert mail.outbox == []
    assert Membership.objects.filter(person=other, venue=house.venue).exists()
    member = Membership.objects.get(person=other, venue=house.venue)
    manager.post(f"/v/larkspur/people/{member.pk}/invite/")
    other.refresh_from_db()
    assert other.has_usable_password()


def test_nobody_gets_a_link_into_another_house_by_inviting_whom_it_invited(
    manager: Client, house: Any
) -> None:
    theirs = Client()
    theirs.force_login(house.people["other manager"])
    theirs.post("/v/tern-studio/people/add/", TYPED)
    assert len(mail.outbox) == 1
    invite(manager)
    member = Membership.objects.get(person__email="tam@larkspur.example", venue=house.venue)
    manager.post(f"/v/larkspur/people/{member.pk}/invite/")
    assert len(mail.outbox) == 1
    assert Client().get(link_in(str(mail.outbox[0].body))).status_code == 200


@pytest.mark.parametrize("left_out", ["level", "certificate", "issued_by", "valid_from"])
def test_half_a_certificate_is_refused(manager: Client, left_out: str) -> None:
    assert invite(manager, **(CARD | {left_out: ""})).status_code == 422
    assert not Person.objects.filter(email="tam@larkspur.example").exists()
