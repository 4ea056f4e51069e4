"""What the bookings of a venue leave accessible in every half-day of a span, in the planner's words.

A half-day without a booking is dark, and everything can be reached, only where the venue has said
that its calendar is entered that far, and where it lies within no run; beyond that day nothing is
known, so nothing is planned.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from inspections.held_half_days import UNKNOWN, WITHIN
from inspections.models import PlanningSettings
from inspections.queries.held_half_days import half_days_held
from venue.kind_shapes import ACCESS_WORDS
from venue.models import Venue

NOT_ENTERED = "calendar not entered"


def access_words(slug: str) -> str:
    """A state as it stands in a sentence; the planner knows it by these words.

    >>> access_words("grid_empty")
    'grid free to work on'
    """
    words = ACCESS_WORDS[slug]
    return words[0].lower() + words[1:]


def states_in_words(slugs: Iterable[str]) -> frozenset[str]:
    return frozenset(access_words(slug) for slug in slugs)


EVERYTHING = states_in_words(ACCESS_WORDS)


@dataclass
class HalfDays:
    """By half-day, from the first day's morning on: access states, and what holds the house."""

    access: list[frozenset[str]] = field(default_factory=list)
    bookings: dict[int, str] = field(default_factory=dict)
    unknown: int = 0  # half-days beyond the day until which the calendar is entered
    within: int = 0  # half-days without a booking between two bookings of a run
    runs: dict[str, None] = field(default_factory=dict)  # the titles of those runs


def half_days_of(venue: Venue, settings: PlanningSettings, first_day: date, days: int) -> HalfDays:
    last_day = first_day + timedelta(days=days - 1)
    held, found = half_days_held(venue, first_day, last_day, settings), HalfDays()
    for slot, hold in enumerate(held.values()):
        found.access.append(states_in_words(hold.leaves))
        if hold.what == UNKNOWN:
            found.bookings[slot] = NOT_ENTERED
            found.unknown += 1
        elif hold.what == WITHIN:
            found.bookings[slot] = f"between two bookings of {'; '.join(hold.titles)}"
            found.within += 1
            found.runs.update(dict.fromkeys(hold.titles))
        elif hold.named:
            found.bookings[slot] = "; ".join(hold.named)
    return found
