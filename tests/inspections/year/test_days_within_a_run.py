"""Empty days of a run: the planner does not take the set away, and the board shows the same."""

from __future__ import annotations

import random
from datetime import date, timedelta
from typing import Any

import pytest

from inspections.actions.planning_settings import set_planning
from inspections.queries.calendar_access import EVERYTHING, NOT_ENTERED, half_days_of
from inspections.queries.held_half_days import half_days_held
from inspections.queries.house_of import house_of
from inspections.queries.planning_settings import settings_of
from tests.house import NOW
from tests.inspections.year.test_calendar_as_access import BESIDE
from tests.inspections.year.year_house import MONDAY, book, know_calendar, make_year_house
from venue.models import Booking

pytestmark = pytest.mark.django_db
SUNDAY, TUESDAY = MONDAY - timedelta(days=1), MONDAY + timedelta(days=1)


@pytest.fixture
def house() -> Any:
    return make_year_house()


def week(house: Any, first: date = MONDAY, days: int = 7) -> Any:
    return half_days_of(house.venue, settings_of(house.venue).row, first, days)


def a_musical(house: Any, *days: int) -> None:
    for day in days or (-1, 1):
        book(house, MONDAY + timedelta(days=day), 19, 23, title="Brass and Bunting")


def test_the_empty_monday_of_a_musical_has_what_a_show_leaves_and_says_why(house: Any) -> None:
    a_musical(house)
    found = week(house)
    assert found.access[:2] == [BESIDE, BESIDE]
    assert found.bookings[0] == found.bookings[1] == "between two bookings of Brass and Bunting"
    assert found.access[4] == EVERYTHING
    words = [
        each for each in house_of(house.venue, MONDAY, 7, NOW).assumptions if "one run" in each
    ]
    assert len(words) == 1
    assert words[0].startswith("2 half-days without a booking lie between two bookings of one run")
    assert "at most 10 days apart (Brass and Bunting)" in words[0]


def test_a_run_goes_over_the_first_and_the_last_day_that_are_planned(house: Any) -> None:
    a_musical(house, -3, 4, 10)
    assert week(house, MONDAY, 2).access == [BESIDE] * 4
    assert week(house, MONDAY + timedelta(days=7), 2).access == [BESIDE] * 4


def test_a_dark_day_that_is_entered_says_for_itself_what_it_leaves(house: Any) -> None:
    a_musical(house)
    dark = book(house, MONDAY, 8, 12, "stage_clear", "house_empty", title="Dark, set struck")
    Booking.objects.filter(pk=dark.pk).update(what="dark")
    struck = {"stage floor clear", "auditorium empty"}
    assert week(house).access[:2] == [struck, struck]
    Booking.objects.filter(pk=dark.pk).update(leaves_accessible=[])
    assert week(house).access[:2] == [frozenset(), frozenset()]


def test_the_other_half_of_a_dark_day_has_no_more_than_a_show_and_the_dark_leave(
    house: Any,
) -> None:
    dark = book(house, MONDAY, 8, 13, "stage_clear", "house_empty", title="Dark")
    Booking.objects.filter(pk=dark.pk).update(what="dark")
    assert week(house).access[1] == {"stage floor clear", "auditorium empty"}
    book(house, MONDAY, 19, 23)
    assert week(house).access[1] == {"auditorium empty"}


def test_a_house_that_strikes_every_time_says_so(house: Any) -> None:
    a_musical(house)
    for pause, left in ((0, EVERYTHING), (1, EVERYTHING), (2, BESIDE)):
        set_planning(
            venue=house.venue, by=house.people["manager"], at=NOW,
            fields={"longest_pause": pause, "left_beside_a_show": settings_of(house.venue).row.left_beside_a_show},
        )  # fmt: skip
        assert week(house).access[:2] == [left, left]


def test_a_cancelled_show_ends_no_pause(house: Any) -> None:
    a_musical(house)
    Booking.objects.filter(starts__gt=NOW + timedelta(days=8)).update(state="cancelled")
    assert week(house).access[:2] == [EVERYTHING, EVERYTHING]


def test_planner_and_board_say_the_same_of_every_half_day(house: Any) -> None:
    """A hundred bookings of every kind, at any hour, on half of the days."""
    know_calendar(house, MONDAY + timedelta(days=70))
    chance = random.Random(3)
    for _ in range(100):
        begins = chance.randrange(7, 22)
        row = book(
            house, MONDAY + timedelta(days=chance.randrange(-12, 90)), begins,
            chance.randrange(begins + 1, 25), title=chance.choice("ABCDEFGH"),
        )  # fmt: skip
        what = chance.choice(Booking.What.values)
        leaves = (
            []
            if what == "unknown"
            else chance.sample(["stage_clear", "house_empty"], chance.randrange(3))
        )
        Booking.objects.filter(pk=row.pk).update(what=what, leaves_accessible=leaves)
    found, held = (
        week(house, days=80),
        half_days_held(house.venue, MONDAY, MONDAY + timedelta(days=79)),
    )
    seen = {hold.what for hold in held.values()}
    assert {"free", "within", "beside", "dark", "unknown", "unasked", "performance"} <= seen
    for slot, ((day, half), hold) in enumerate(held.items()):
        assert (day, half) == (MONDAY + timedelta(days=slot // 2), ("am", "pm")[slot % 2])
        access = found.access[slot]
        assert hold.blocked == (not access), (day, half, hold)
        assert (hold.what == "unknown") == (found.bookings.get(slot) == NOT_ENTERED)
        if hold.what == "free":
            assert access == EVERYTHING
        if hold.what == "within":
            assert access == BESIDE
