"""A form sent twice, by a thumb that taps twice or at the same moment, makes one row and one line."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.house import make_house
from tests.venue.test_two_at_once import at_once
from venue.actions.house import add_booking
from venue.actions.people import add_competence
from venue.models import Booking, Competence, LogLine

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]

BOOKING = {
    "what": "dark", "title": "Dark day", "starts": "2026-03-02T09:00", "ends": "2026-03-02T18:00",
    "leaves_accessible": ["grid_empty"],
}  # fmt: skip
COMPETENCE = {
    "level": "trained_user", "certificate": "TU-77", "issued_by": "Larkspur Trust",
    "valid_from": "2026-01-05", "expires_on": "",
}  # fmt: skip


@pytest.fixture
def house() -> Any:
    return make_house()


def send(house: Any, name: str, typed: dict[str, Any], *args: object) -> None:
    client = Client()
    client.force_login(house.people["manager"])
    answer = client.post(reverse(name, args=["larkspur", *args]), typed)
    assert answer.status_code == 302, answer.content.decode()


def stagehand(house: Any) -> Any:
    return house.venue.memberships.get(person=house.people["stagehand"])


def lines(did: str) -> int:
    return LogLine.objects.filter(did=did).count()


def test_a_booking_sent_twice_is_one_booking(house: Any) -> None:
    before = lines("add_booking")
    send(house, "add_booking", BOOKING)
    send(house, "add_booking", BOOKING)
    assert Booking.objects.filter(title="Dark day").count() == 1
    assert lines("add_booking") == before + 1


@pytest.mark.parametrize(
    "other",
    [{"title": "Dark day, again"}, {"ends": "2026-03-02T19:00"}, {"leaves_accessible": []},
     {"what": "other"}],
    ids=lambda change: next(iter(change)),
)  # fmt: skip
def test_a_booking_that_differs_in_anything_is_another(house: Any, other: dict[str, Any]) -> None:
    send(house, "add_booking", BOOKING)
    send(house, "add_booking", BOOKING | other)
    assert Booking.objects.filter(starts__date="2026-03-02").count() == 2


def test_two_requests_for_one_booking_at_once_make_one(house: Any) -> None:
    now, before = timezone.now(), lines("add_booking")

    def adding() -> Booking:
        return add_booking(
            venue=house.venue, what="dark", title="Dark day", starts=now,
            ends=now + timedelta(hours=4), leaves_accessible=["grid_empty"],
            by=house.people["manager"], at=now,
        )  # fmt: skip

    made = at_once(*[adding] * 4)
    assert len({one.pk for one in made}) == 1
    assert Booking.objects.filter(title="Dark day").count() == 1
    assert lines("add_booking") == before + 1


def test_a_competence_sent_twice_is_one_competence(house: Any) -> None:
    before = lines("add_competence")
    for _ in range(2):
        send(house, "add_competence", COMPETENCE, stagehand(house).pk)
    assert Competence.objects.filter(certificate="TU-77").count() == 1
    assert lines("add_competence") == before + 1
    # A renewal is another one.
    send(house, "add_competence", COMPETENCE | {"valid_from": "2026-06-05"}, stagehand(house).pk)
    assert Competence.objects.filter(certificate="TU-77").count() == 2


def test_two_requests_for_one_competence_at_once_make_one(house: Any) -> None:
    now, before, membership = timezone.now(), lines("add_competence"), stagehand(house)

    def adding() -> Competence:
        return add_competence(
            membership=membership, level="trained_user", certificate="TU-77", issued_by="Trust",
            valid_from=now.date(), expires_on=None, by=house.people["manager"], at=now,
        )  # fmt: skip

    made = at_once(*[adding] * 4)
    assert len({one.pk for one in made}) == 1
    assert Competence.objects.filter(certificate="TU-77").count() == 1
    assert lines("add_competence") == before + 1
