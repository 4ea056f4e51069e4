"""The empty days of a run: from titles and series, through pauses, load-outs and other uses."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from inspections.run_days import Booked, run_days

SUNDAY = date(2026, 6, 14)
MUSICAL = "Brass and Bunting"


def booked(days: int, what: str = "performance", title: str = MUSICAL, **more: str) -> Booked:
    """An evening so many days after the Sunday."""
    starts = datetime(2026, 6, 14, 19, tzinfo=UTC) + timedelta(days=days)
    return Booked(what, title, starts, starts + timedelta(hours=3), **more)


def empty(*bookings: Booked, pause: int = 10) -> list[int]:
    """The days within a run, from the Sunday on."""
    return sorted((day - SUNDAY).days for day in run_days(bookings, pause))


def test_the_monday_between_sunday_and_tuesday_is_within_the_run() -> None:
    assert run_days([booked(0), booked(2)], 10) == {SUNDAY + timedelta(days=1): (MUSICAL,)}


@pytest.mark.parametrize(("pause", "days"), [(10, list(range(1, 10))), (9, []), (0, [])])
def test_a_run_pauses_as_long_as_the_house_says(pause: int, days: list[int]) -> None:
    assert empty(booked(0), booked(10), pause=pause) == days


def test_another_show_is_another_run_and_one_series_is_one_run_whatever_its_titles() -> None:
    press = "Press night"
    assert empty(booked(0), booked(2, title=press)) == []
    assert empty(booked(0, series="7 abc"), booked(2, title=press, series="7 abc")) == [1]
    assert empty(booked(0, series="7 abc"), booked(2, title=press, series="8 abc")) == []
    assert empty(booked(0), booked(2, title="BRASS & bunting")) == []
    assert empty(booked(0), booked(2, title="brass and  Bunting!")) == [1]


def test_a_load_out_ends_the_run_and_a_load_out_of_two_days_does_not_yet() -> None:
    out = booked(1, "load_out")
    assert empty(booked(0), out, booked(4)) == []
    assert empty(booked(0), out, booked(4, "load_in"), booked(6)) == [5]
    assert empty(booked(0), out, booked(3, "load_out")) == [2]
    # On the night of the last show, told before the show itself in the list.
    late_out = Booked("load_out", MUSICAL, out.starts, out.ends + timedelta(hours=1))
    assert empty(late_out, booked(1), booked(4)) == []


def test_nobody_knows_what_it_is_and_it_may_well_be_a_run() -> None:
    assert empty(booked(0, "unknown"), booked(2, "unknown")) == [1]


def test_dark_days_make_no_run_and_other_uses_only_when_they_are_close() -> None:
    assert empty(booked(0, "dark", "Dark"), booked(2, "dark", "Dark")) == []
    assert empty(booked(0, "other", "Call"), booked(7, "other", "Call")) == []
    assert empty(booked(0, "other", "Fair"), booked(3, "other", "Fair")) == [1, 2]


def test_a_booking_of_several_days_reaches_to_its_last_and_midnight_is_no_day_more() -> None:
    starts = datetime(2026, 6, 14, 9, tzinfo=UTC)
    long = Booked("load_in", MUSICAL, starts, datetime(2026, 6, 18, tzinfo=UTC))
    assert long.last == date(2026, 6, 17)
    assert empty(booked(1), long, booked(6)) == [4, 5]


def test_of_two_runs_through_each_other_both_are_named() -> None:
    bookings = [
        booked(0),
        booked(1, title="Nine Lanterns"),
        booked(3),
        booked(4, title="Nine Lanterns"),
    ]
    assert run_days(bookings, 10)[SUNDAY + timedelta(days=2)] == (MUSICAL, "Nine Lanterns")


def test_a_piece_of_a_series_does_not_give_the_run_its_name() -> None:
    piece = booked(2, "load_in", f"{MUSICAL}: load-in", series="7 abc")
    assert list(run_days([booked(0, series="7 abc"), piece], 10).values()) == [(MUSICAL,)]
