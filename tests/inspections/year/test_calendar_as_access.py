"""What the bookings leave accessible in each half-day, and what is not known."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

import pytest

from inspections.queries.calendar_access import EVERYTHING, NOT_ENTERED, half_days_of
from inspections.queries.planning_settings import settings_of
from tests.inspections.year.year_house import MONDAY, book, know_calendar, make_year_house
from venue.models import Booking

pytestmark = pytest.mark.django_db
BESIDE = {
    "auditorium empty", "nobody below the work", "machines may be locked off",
    "power may be switched off", "smoke detectors may be isolated",
}  # fmt: skip


@pytest.fixture
def house() -> Any:
    return make_year_house()


def week(house: Any, first: date = MONDAY, days: int = 7) -> Any:
    return half_days_of(house.venue, settings_of(house.venue).row, first, days)


def test_a_day_without_a_booking_is_dark_only_where_the_calendar_is_entered(house: Any) -> None:
    know_calendar(house, MONDAY + timedelta(days=1))
    found = week(house)
    assert found.access == [EVERYTHING] * 4 + [frozenset()] * 10
    assert found.unknown == 10
    assert {found.bookings[slot] for slot in range(4, 14)} == {NOT_ENTERED}
    know_calendar(house, None)
    assert week(house).unknown == 14


def test_a_booking_holds_the_half_day_it_overlaps_and_bounds_the_other(house: Any) -> None:
    book(house, MONDAY, 14, 17, "house_empty")
    found = week(house)
    assert found.access[0] == BESIDE
    assert found.access[1] == {"auditorium empty"}
    assert found.access[2] == EVERYTHING
    assert "The Glass Ferry" in found.bookings[1]


def test_an_evening_show_leaves_its_scenery_in_both_halves_of_the_day(house: Any) -> None:
    book(house, MONDAY, 19, 23)
    assert week(house).access[:3] == [BESIDE, BESIDE, EVERYTHING]


def test_of_two_bookings_at_once_only_what_both_leave_can_be_reached(house: Any) -> None:
    book(house, MONDAY, 8, 13, "stage_clear", "house_empty")
    book(house, MONDAY, 10, 12, "house_empty", "grid_empty", title="Nine Lanterns")
    found = week(house)
    assert found.access[0] == {"auditorium empty"}
    assert found.bookings[0] == ("The Glass Ferry (Performance); Nine Lanterns (Performance)")


def test_a_booking_of_several_days_holds_them_all_and_ends_at_midnight(house: Any) -> None:
    book(house, MONDAY, 18, 24, until=MONDAY + timedelta(days=2))
    found = week(house)
    assert found.access[0] == found.access[1] == BESIDE
    assert found.access[2:6] == [frozenset()] * 4
    assert found.access[6] == EVERYTHING


@pytest.mark.parametrize("day", [date(2026, 10, 25), date(2027, 3, 28), date(2026, 7, 1)])
def test_the_clock_on_the_wall_decides_when_the_clocks_change(house: Any, day: date) -> None:
    """By the clock of Greenwich the booking would reach into the other half-day in summer."""
    starts = datetime.combine(day, time(13), house.venue.zone)
    ends = datetime.combine(day, time(18), house.venue.zone)
    Booking.objects.create(
        venue=house.venue, what="rehearsal", title="Run", starts=starts, ends=ends
    )
    found = week(house, day, 2)
    assert found.access == [BESIDE, frozenset(), EVERYTHING, EVERYTHING]


def test_a_booking_of_another_venue_holds_nothing_here(house: Any) -> None:
    row = book(house, MONDAY, 8, 18)
    type(row).objects.filter(pk=row.pk).update(venue=house.other)
    assert week(house).access[:2] == [EVERYTHING, EVERYTHING]
