"""Why the bookings may not be what is really booked: calendars that were not read, entries that nobody
has named. A plan says them, and nothing is published over them in silence."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from inspections.move_check import named
from inspections.planning.wording import counted_words
from venue.models import Booking, CalendarSource, Venue

# An address is fetched once a day; a file is brought by a person.
LONG_FOR_AN_ADDRESS, LONG_FOR_A_FILE = 3, 31
NOT_HERE = (
    "What was booked in it since then is not known here, so a day that counts as free may be taken."
)


@dataclass(frozen=True)
class Doubt:
    """A sentence that stays the same while nothing changes, and the name of the page that answers it."""

    words: str
    page: str


def calendar_doubts(venue: Venue, first: date, last: date, now: datetime) -> list[Doubt]:
    """Of a plan from the first to the last day, both included. Two questions to the database."""
    running = CalendarSource.objects.filter(venue=venue, ended_on=None)
    found = [Doubt(words, "calendars") for one in running for words in _of_source(one, venue, now)]
    found += [Doubt(words, "unknown_bookings") for words in _unknown(venue, first, last)]
    return found


def _of_source(source: CalendarSource, venue: Venue, now: datetime) -> Iterator[str]:
    if source.read_at is None:
        yield f"The calendar {source.name} has never been applied: nothing that is booked in it is known here."
        return
    days = LONG_FOR_AN_ADDRESS if source.address else LONG_FOR_A_FILE
    read = source.read_at.astimezone(venue.zone)
    if source.needs_a_look:
        yield (
            f"Nothing of the calendar {source.name} has been applied since {read:%-d %B %Y}, and it "
            f"needs a look. {NOT_HERE}"
        )
    elif source.read_at < now - timedelta(days=days):
        yield (
            f"The calendar {source.name} was last read on {read:%-d %B %Y}, more than {days} days "
            f"ago. {NOT_HERE}"
        )


def _unknown(venue: Venue, first: date, last: date) -> Iterator[str]:
    begins = datetime.combine(first, time(), tzinfo=venue.zone)
    ends = datetime.combine(last, time(), tzinfo=venue.zone) + timedelta(days=1)
    rows = Booking.objects.filter(
        venue=venue, what=Booking.What.UNKNOWN, starts__lt=ends, ends__gt=begins
    )
    titles = list(rows.order_by("starts", "pk").values_list("title", flat=True))
    if titles:
        yield (
            f"Nobody has said what they are: {counted_words(len(titles), 'booking')} in these days "
            f"({named(list(dict.fromkeys(titles)))}). Until somebody does they hold the whole house, "
            "and their half-days count as blocked."
        )
