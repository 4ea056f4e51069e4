"""What the bookings of a venue leave accessible in every half-day of a span.

A half-day without a booking is dark, and everything can be reached, only where the venue has said
that its calendar is entered that far; beyond that day nothing is known, so nothing is planned.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from inspections.models import PlanningSettings
from venue.kind_shapes import ACCESS_WORDS
from venue.models import Booking, Venue

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

    access: list[frozenset[str]]
    bookings: dict[int, str] = field(default_factory=dict)
    unknown: int = 0  # half-days beyond the day until which the calendar is entered


def half_days_of(venue: Venue, settings: PlanningSettings, first_day: date, days: int) -> HalfDays:
    """Where bookings overlap, only what all of them leave can be reached."""
    left: dict[int, frozenset[str]] = {}
    found = HalfDays([])
    busy: set[int] = set()
    for booking in _bookings(venue, first_day, days):
        for slot in _slots(booking, venue, settings, first_day, days):
            left[slot] = left.get(slot, EVERYTHING) & states_in_words(booking.leaves_accessible)
            titles = [found.bookings[slot]] if slot in found.bookings else []
            found.bookings[slot] = "; ".join([*titles, str(booking)])
        busy.update(_days(booking, venue, first_day))
    for slot in range(2 * days):
        day = slot // 2
        if slot in left:
            found.access.append(left[slot])
        elif not _known(venue, first_day + timedelta(days=day)):
            found.access.append(frozenset())
            found.bookings[slot] = NOT_ENTERED
            found.unknown += 1
        else:
            beside = states_in_words(settings.left_beside_a_show) if day in busy else EVERYTHING
            found.access.append(beside)
    return found


def _bookings(venue: Venue, first_day: date, days: int) -> Iterator[Booking]:
    start = datetime.combine(first_day, time(), venue.zone)
    rows = Booking.objects.filter(
        venue=venue, ends__gt=start, starts__lt=start + timedelta(days=days + 1)
    )
    yield from rows.order_by("starts", "pk")


def _known(venue: Venue, day: date) -> bool:
    return venue.calendar_known_until is not None and day <= venue.calendar_known_until


def _days(booking: Booking, venue: Venue, first_day: date) -> Iterator[int]:
    """The days of the span a booking touches, evenings included."""
    starts, ends = _local(booking, venue)
    yield from range((starts.date() - first_day).days, (_last(ends) - first_day).days + 1)


def _last(ends: datetime) -> date:
    """A booking that ends at midnight does not touch the day that begins then."""
    return (ends - timedelta(microseconds=1)).date()


def _slots(
    booking: Booking, venue: Venue, settings: PlanningSettings, first_day: date, days: int
) -> Iterator[int]:
    """The half-days of the span that a booking overlaps, by the clock on the wall."""
    starts, ends = _local(booking, venue)
    for day in _days(booking, venue, first_day):
        if not 0 <= day < days:
            continue
        midnight = datetime.combine(first_day + timedelta(days=day), time())
        for half, (opens, closes) in enumerate(_halves(settings)):
            if starts < midnight + closes and ends > midnight + opens:
                yield 2 * day + half


def _halves(settings: PlanningSettings) -> tuple[tuple[timedelta, timedelta], ...]:
    morning, noon, evening = (
        timedelta(hours=hour)
        for hour in (settings.morning_starts, settings.noon, settings.afternoon_ends)
    )
    return (morning, noon), (noon, evening)


def _local(booking: Booking, venue: Venue) -> tuple[datetime, datetime]:
    """By the clock on the wall, so that a change of clocks moves nothing."""
    starts, ends = booking.starts, booking.ends
    return tuple(each.astimezone(venue.zone).replace(tzinfo=None) for each in (starts, ends))  # type: ignore[return-value]
