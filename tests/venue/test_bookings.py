"""A season comes as many bookings at once."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext

from tests.house import NOW, make_person, make_venue
from venue.actions.house import add_booking, add_bookings
from venue.models import Booking, LogLine, Venue

pytestmark = pytest.mark.django_db


def season(venue: Venue, nights: int) -> list[Booking]:
    return [
        Booking(
            venue=venue, what="performance", title="The Salt Stair", leaves_accessible=["grid_empty"],
            starts=NOW + timedelta(days=night), ends=NOW + timedelta(days=night, hours=3),
        )
        for night in range(nights)
    ]  # fmt: skip


def test_each_booking_of_a_season_has_its_own_line_in_the_log():
    venue = make_venue()
    by = make_person(venue, "manager")
    made = add_bookings(venue=venue, bookings=season(venue, 3), by=by, at=NOW)
    lines = LogLine.objects.filter(venue=venue, did="add_booking").order_by("number")
    assert [line.subject for line in lines] == [f"venue.booking {row.pk}" for row in made]
    assert all('"leaves_accessible":["grid_empty"]' in line.body for line in lines)
    one = add_booking(
        venue=venue, what="dark", title="Dark", starts=NOW, ends=NOW + timedelta(hours=4),
        leaves_accessible=[], by=by, at=NOW,
    )  # fmt: skip
    assert lines.last().subject == f"venue.booking {one.pk}"


def test_one_impossible_booking_refuses_the_whole_season():
    venue = make_venue()
    bookings = season(venue, 3)
    bookings[1].ends = bookings[1].starts
    with pytest.raises(IntegrityError):
        add_bookings(venue=venue, bookings=bookings, by=None, at=NOW)
    assert not Booking.objects.exists()
    assert not LogLine.objects.filter(venue=venue).exists()


def test_a_booking_of_another_venue_is_refused():
    venue, other = make_venue(), make_venue("tern-studio")
    with pytest.raises(ValueError, match="another venue"):
        add_bookings(venue=venue, bookings=season(other, 1), by=None, at=NOW)
    assert not Booking.objects.exists()


def test_a_season_costs_as_many_statements_as_one_night():
    venue = make_venue()
    cost = []
    for nights in (1, 90):
        with CaptureQueriesContext(connection) as queries:
            add_bookings(venue=venue, bookings=season(venue, nights), by=None, at=NOW)
        cost.append(len(queries))
    assert cost[0] >= cost[1] - 2
