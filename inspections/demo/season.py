"""The season of the Larkspur: what is booked on a day, and what that leaves accessible. Pure.

A changeover every second Monday, the dark Monday between, a maintenance call on Wednesday
mornings, a touring musical for three weeks of March, a school-holiday show over the new year,
and a dark fortnight in August. The same day always gives the same bookings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

EVERYTHING = (
    "stage_clear", "house_empty", "grid_empty", "machine_locked", "nobody_below", "pit_at_level",
    "power_off", "battens_stripped",
)  # fmt: skip
# Scenery hangs and the grid carries the show's rigging, but nobody is about.
ON_A_MAINTENANCE_CALL = (
    "stage_clear", "house_empty", "machine_locked", "nobody_below", "pit_at_level",
)  # fmt: skip
PLAYS = ("The Salt Stair", "Nine Lanterns", "A House of Reeds", "The Glass Ferry")
HOLIDAY_SHOW, MUSICAL = "The Snow Ferry", "Brass and Bunting"
MONDAY, TUESDAY, WEDNESDAY, FRIDAY, SATURDAY, SUNDAY = 0, 1, 2, 4, 5, 6


@dataclass(frozen=True)
class Call:
    """One booking of one day, in whole hours of the house's own clock."""

    day: date
    what: str
    title: str
    first: int
    last: int
    leaves: tuple[str, ...] = ()


def calls(first: date, last: date) -> Iterator[Call]:
    day = first
    while day <= last:
        yield from calls_on(day)
        day += timedelta(days=1)


def leaves_accessible(day: date) -> frozenset[str]:
    """What some booking of that day leaves accessible; nothing where none does."""
    return frozenset(state for call in calls_on(day) for state in call.leaves)


def calls_on(day: date) -> list[Call]:
    for of_season in (_holiday_show, _musical, _dark_fortnight, _repertory):
        found = of_season(day)
        if found is not None:
            return found
    return []


def _holiday_show(day: date) -> list[Call] | None:
    if not ((day.month, day.day) >= (12, 6) or (day.month, day.day) <= (1, 6)):
        return None
    if (day.month, day.day) in ((12, 25), (12, 26), (1, 1)):
        return [Call(day, "dark", "Closed for the holiday", 8, 22)]  # nobody is in the house
    if (day.month, day.day) in ((12, 6), (12, 7)):
        return [Call(day, "load_in", HOLIDAY_SHOW, 8, 23)]
    if (day.month, day.day) == (1, 6):
        return [Call(day, "load_out", HOLIDAY_SHOW, 8, 20)]
    return [Call(day, "performance", f"{HOLIDAY_SHOW}, two houses", 13, 21)]


def _musical(day: date) -> list[Call] | None:
    opening = _first_monday(day.year, 3)
    week = (day - opening).days // 7
    if week not in (0, 1, 2):
        return None
    if week == 0 and day.weekday() in (MONDAY, TUESDAY):
        return [Call(day, "load_in", MUSICAL, 8, 23)]
    if week == 2 and day.weekday() == SUNDAY:
        return [Call(day, "load_out", MUSICAL, 8, 20)]
    if day.weekday() in (MONDAY, SUNDAY):
        # Dark, but the tour's rig stays up: the grid is theirs.
        return [Call(day, "dark", "Dark, the tour's rig stays", 8, 22, ("house_empty",))]
    return [Call(day, "performance", MUSICAL, 19, 23)]


def _dark_fortnight(day: date) -> list[Call] | None:
    week = (day - _first_monday(day.year, 8)).days // 7
    if week not in (0, 1):
        return None
    return [] if day.weekday() >= SATURDAY else [Call(day, "dark", "Dark", 8, 20, EVERYTHING)]


def _repertory(day: date) -> list[Call]:
    week = (day.toordinal() - 1) // 7  # the calendar's first day was a Monday
    play, changeover = PLAYS[week // 2 % len(PLAYS)], week % 2 == 0
    if day.weekday() == MONDAY and changeover:
        before = PLAYS[(week // 2 - 1) % len(PLAYS)]
        return [Call(day, "load_out", before, 8, 13), Call(day, "load_in", play, 13, 23)]
    if day.weekday() == MONDAY:
        return [Call(day, "dark", "Dark", 8, 22, EVERYTHING)]
    if day.weekday() == TUESDAY:
        return [Call(day, "rehearsal", play, 10, 22)] if changeover else []
    if day.weekday() == WEDNESDAY:
        call = Call(day, "other", "Maintenance call", 8, 13, ON_A_MAINTENANCE_CALL)
        return [call, Call(day, "performance", play, 19, 22)]
    if day.weekday() == SUNDAY:
        return []
    return [Call(day, "performance", play, 14 if day.weekday() == SATURDAY else 19, 22)]


def _first_monday(year: int, month: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=-first.weekday() % 7)


def studio_calls(first: date, last: date) -> Iterator[Call]:
    """The sister house: dark on Mondays, small plays on Fridays and Saturdays."""
    day = first
    while day <= last:
        if day.weekday() == MONDAY:
            yield Call(day, "dark", "Dark", 8, 22, EVERYTHING)
        elif day.weekday() in (FRIDAY, SATURDAY):
            yield Call(day, "performance", "Small Tides", 20, 22)
        day += timedelta(days=1)


def studio_leaves(day: date) -> frozenset[str]:
    return frozenset(state for call in studio_calls(day, day) for state in call.leaves)
