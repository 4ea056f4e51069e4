"""How long a check takes, learned from records: what counts, what does not, and how the work is spread."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from inspections.learned_hours import (
    Room,
    Took,
    as_learned,
    half_days_for,
    learned_from,
)
from inspections.work_shapes import Helper, Work

CURTAIN = Work(Decimal(3), helper=Helper("trained_user", Decimal(1)))
ALONE = Work(Decimal(3))
ROOM = Room(Decimal("3.5"), Decimal("4.5"))


def entered(*hours: str, people: int | None = None) -> list[Took]:
    return [Took(entered=Decimal(each), people=people) for each in hours]


def timed(*hours: float) -> list[Took]:
    return [Took(open_hours=Fraction(str(each))) for each in hours]


def test_a_form_filled_in_afterwards_teaches_nothing() -> None:
    """Three forms of five minutes each do not make a quarter-hour of a test of three hours."""
    known = learned_from(ALONE, timed(0.083, 0.083, 0.083))
    assert (known.share, known.count, known.left_out) == (None, 0, 3)


def test_a_form_left_open_teaches_nothing_and_the_bounds_belong_to_what_counts() -> None:
    known = learned_from(ALONE, [*timed(0.75, 3, 9), *timed(0.74, 9.01), Took()])
    assert (known.share, known.timed, known.left_out) == (1, 3, 3)


def test_hours_that_somebody_entered_go_first() -> None:
    known = learned_from(ALONE, [*entered("5", "6", "7"), *timed(3, 3, 3, 3)])
    assert (known.share, known.entered, known.timed) == (2, 3, 0)


def test_what_is_entered_counts_whatever_the_estimate_says() -> None:
    assert learned_from(ALONE, entered("0.25", "0.25", "30")).share == Fraction(1, 12)


def test_fewer_than_three_entered_are_helped_out_by_the_forms() -> None:
    known = learned_from(ALONE, [*entered("6", "6"), *timed(3)])
    assert (known.share, known.entered, known.timed) == (2, 2, 1)
    assert learned_from(ALONE, entered("6", "6")).share is None


def test_a_total_is_shared_between_leader_and_helper_as_the_estimate_shares_it() -> None:
    known = learned_from(CURTAIN, entered("8", "8", "8"))
    work = as_learned(CURTAIN, known.share, {}, "competent_person")
    assert (work.person_hours, work.helper and work.helper.person_hours) == (6, 2)


def test_the_form_tells_the_leaders_time_and_the_helper_goes_with_it() -> None:
    known = learned_from(CURTAIN, timed(6, 6, 6))
    work = as_learned(CURTAIN, known.share, {}, "competent_person")
    assert (work.person_hours, work.helper and work.helper.person_hours) == (6, 2)


def test_hours_of_one_person_are_the_leaders_although_a_helper_is_foreseen() -> None:
    known = learned_from(CURTAIN, entered("6", "6", "6", people=1))
    work = as_learned(CURTAIN, known.share, {}, "competent_person")
    assert (work.person_hours, work.helper and work.helper.person_hours) == (6, 2)


def test_a_form_of_one_of_two_people_tells_half_of_the_work() -> None:
    two = Work(Decimal(4), people=2)  # two hours each
    known = learned_from(two, timed(3, 3, 3))
    assert as_learned(two, known.share, {}, "competent_person").person_hours == 6


@pytest.mark.parametrize(
    ("hours", "half_days"),
    [("3.5", 1), ("4.5", 1), ("4.75", 2), ("7", 2), ("7.25", 3)],
)
def test_work_that_one_person_cannot_do_in_a_half_day_takes_more(
    hours: str, half_days: int
) -> None:
    """Up to the overtime it stays in one; else it is spread so that no overtime is needed."""
    assert half_days_for(Decimal(hours), 1, ROOM) == half_days


def test_half_days_are_never_fewer_than_estimated_and_stay_where_nobody_is_there() -> None:
    assert half_days_for(Decimal(1), 3, ROOM) == 3
    assert half_days_for(Decimal(9), 1, None) == 1
    assert half_days_for(Decimal(9), 1, Room(Decimal(0), Decimal(0))) == 1


def test_five_hours_of_a_curtain_are_planned_in_two_half_days() -> None:
    rooms = {"competent_person": ROOM, "trained_user": ROOM}
    work = as_learned(ALONE, Fraction(5, 3), rooms, "competent_person")
    assert (work.person_hours, work.half_days) == (5, 2)


def test_a_helper_with_fewer_hours_a_day_spreads_the_work_too() -> None:
    rooms = {"competent_person": ROOM, "trained_user": Room(Decimal("0.5"), Decimal("0.5"))}
    assert as_learned(CURTAIN, Fraction(1), rooms, "competent_person").half_days == 2


def test_hours_are_rounded_up_to_the_quarter() -> None:
    assert as_learned(ALONE, Fraction(1, 100), {}, "trained_user").person_hours == Decimal("0.25")
    assert as_learned(ALONE, Fraction(41, 120), {}, "trained_user").person_hours == Decimal("1.25")
