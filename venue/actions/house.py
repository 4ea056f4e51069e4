"""Change a venue's own settings; add a booking."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from venue.actions.log import write_line
from venue.models import Booking, Person, Venue


def change_venue(*, venue: Venue, fields: dict[str, str], by: Person, at: datetime) -> None:
    """Name, address, time zone, unit habit, trade dialect, paper."""
    before = {name: getattr(venue, name) for name in fields}
    if before == fields:
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
            after=fields,
        )


def add_booking(
    *, venue: Venue, what: str, title: str, starts: datetime, ends: datetime,
    leaves_accessible: list[str], by: Person | None, at: datetime,
) -> Booking:  # fmt: skip
    with transaction.atomic():
        booking = Booking.objects.create(
            venue=venue, what=what, title=title, starts=starts, ends=ends,
            leaves_accessible=leaves_accessible,
        )  # fmt: skip
        after = {"what": what, "title": title, "starts": starts, "ends": ends}
        write_line(venue=venue, by=by, at=at, did="add_booking", subject=booking, after=after)
    return booking
