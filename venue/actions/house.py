"""Change a venue's own settings; add one booking or many."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from venue.actions.log import Deed, write_line, write_lines
from venue.models import Booking, Person, Venue

BATCH = 200


def change_venue(*, venue: Venue, fields: Mapping[str, Any], by: Person, at: datetime) -> None:
    """Name, address, time zone, unit habit, trade dialect, paper; how far the calendar is entered."""
    before = {name: getattr(venue, name) for name in fields}
    if before == dict(fields):
        return
    with transaction.atomic():
        Venue.objects.filter(pk=venue.pk).update(**fields)
        write_line(
            venue=venue,
            by=by,
            at=at,
            did="change_venue",
            subject=venue,
            before=before,
            after=dict(fields),
        )


def add_booking(
    *, venue: Venue, what: str, title: str, starts: datetime, ends: datetime,
    leaves_accessible: list[str], by: Person | None, at: datetime,
) -> Booking:  # fmt: skip
    """The booking; the one that is there when the very same was added before, by a second tap."""
    booking = Booking(
        venue=venue, what=what, title=title, starts=starts, ends=ends,
        leaves_accessible=leaves_accessible,
    )  # fmt: skip
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # two at once: one waits
        same = _same(booking)
        return same or add_bookings(venue=venue, bookings=[booking], by=by, at=at)[0]


def _same(booking: Booking) -> Booking | None:
    rows = Booking.objects.filter(
        venue=booking.venue, what=booking.what, title=booking.title,
        starts=booking.starts, ends=booking.ends,
    )  # fmt: skip
    wanted = sorted(booking.leaves_accessible)
    return next((row for row in rows if sorted(row.leaves_accessible) == wanted), None)


def add_bookings(
    *, venue: Venue, bookings: Sequence[Booking], by: Person | None, at: datetime
) -> list[Booking]:
    """Many at once, as a season comes; each has its own line in the log, and a wrong one refuses
    them all."""
    if any(booking.venue_id != venue.pk for booking in bookings):
        raise ValueError("a booking of another venue")
    with transaction.atomic():
        made = Booking.objects.bulk_create(bookings, batch_size=BATCH)
        deeds = [Deed("add_booking", booking, after=_told(booking)) for booking in made]
        write_lines(venue=venue, by=by, at=at, deeds=deeds)
    return made


def _told(booking: Booking) -> dict[str, object]:
    names = ("what", "title", "starts", "ends", "leaves_accessible")
    return {name: getattr(booking, name) for name in names}
