"""An empty Loftbook: the first person comes in with the code from the terminal, and nobody after them."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from tests.house import make_house
from venue.actions.open_house import NotTheFirst, WrongCode, make_set_up_code, open_house
from venue.models import LogLine, Organisation, Person, SetUpCode, Venue
from venue.set_up_codes import hash_of, is_code, new_code

pytestmark = pytest.mark.django_db

TYPED = {
    "house": "The Larkspur", "time_zone": "America/Chicago", "name": "Odile Varga",
    "email": "odile@larkspur.example", "password": "a-long-enough-one-1",
}  # fmt: skip


def code() -> str:
    return make_set_up_code(at=timezone.now())


def send(**changed: str) -> Any:
    return Client().post("/set-up/", TYPED | changed)


def test_whoever_wants_to_sign_in_where_nobody_is_gets_to_the_set_up() -> None:
    answer = Client().get("/", follow=True)
    assert answer.redirect_chain[-1][0] == "/set-up/"
    assert "Set-up code" in answer.content.decode()


def test_with_the_code_the_first_person_is_the_manager_of_a_house_and_signed_in() -> None:
    client = Client()
    answer = client.post("/set-up/", TYPED | {"code": code().lower().replace("-", " ")})
    assert answer.status_code == 302, answer.content.decode()
    venue = Venue.objects.get()
    assert answer.url == "/v/the-larkspur/set-up/house/"
    assert (venue.name, venue.unit_habit, venue.dialect, venue.paper) == (
        "The Larkspur", "us", "en-US", "letter",
    )  # fmt: skip
    assert venue.set_up_since is not None
    assert venue.memberships.get().role == "manager"
    assert client.get("/v/the-larkspur/set-up/").status_code == 200
    assert [line.did for line in LogLine.objects.order_by("number")] == ["add_person", "open_house"]
    assert not SetUpCode.objects.exists(), "the code is used up"


@pytest.mark.parametrize("typed", ["", "AAAA-AAAA-AAAA-AAAA", "0"])
def test_without_the_code_nobody_comes_in(typed: str) -> None:
    code()
    answer = send(code=typed)
    assert answer.status_code == 422
    assert not Person.objects.exists()
    assert not Organisation.objects.exists()
    assert SetUpCode.objects.exists()


def test_before_any_code_was_made_no_code_is_right() -> None:
    assert send(code="").status_code == 422
    with pytest.raises(WrongCode):
        open_house(code="", at=timezone.now(), **TYPED)


def test_the_next_start_makes_another_code_and_the_last_one_is_dead() -> None:
    old, new = code(), code()
    assert send(code=old).status_code == 422
    assert send(code=new).status_code == 302


def test_once_somebody_is_here_the_door_is_shut_and_no_code_is_made() -> None:
    right = code()
    make_house()
    people = Person.objects.count()
    assert send(code=right).url == "/account/login/"
    with pytest.raises(NotTheFirst):
        open_house(code=right, at=timezone.now(), **TYPED)
    assert code() == ""
    assert Person.objects.count() == people
    assert not SetUpCode.objects.exists()


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"password": "short"}, "too short"),
        ({"password": "123456789012"}, "entirely numeric"),
        ({"time_zone": "Mars/Olympus"}, "valid choice"),
        ({"email": "nobody"}, "valid email"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_the_code_stays_good(
    changed: dict[str, str], words: str
) -> None:
    right = code()
    answer = send(code=right, **changed)
    assert (answer.status_code, words in answer.content.decode()) == (422, True)
    assert send(code=right).status_code == 302


def test_two_houses_of_no_latin_name_have_an_address() -> None:
    assert send(code=code(), house="劇場").url == "/v/house/set-up/house/"


def test_a_code_is_long_differs_each_time_and_is_kept_only_as_its_hash() -> None:
    drawn = {new_code() for _ in range(50)}
    assert len(drawn) == 50
    assert all(len(one.replace("-", "")) == 16 for one in drawn)
    made = code()
    kept = SetUpCode.objects.get().sha256
    assert made not in kept
    assert is_code(made, kept)
    assert not is_code(made[:-1], kept)
    assert kept == hash_of(made)


def test_the_command_prints_address_and_code_and_nothing_where_somebody_is() -> None:
    out = io.StringIO()
    call_command("set_up_code", stdout=out)
    printed = out.getvalue().split()[-1]
    assert is_code(printed, SetUpCode.objects.get().sha256)
    assert "http://localhost:8000/set-up/" in out.getvalue()
    make_house()
    out = io.StringIO()
    call_command("set_up_code", stdout=out)
    assert out.getvalue() == ""
