"""The calendar of the first hour: named for the house, read from a file or its address."""

from __future__ import annotations

from datetime import datetime

from django.core.files.uploadedfile import UploadedFile

from venue.actions.calendars import add_calendar
from venue.calendar_address import fetch_calendar
from venue.models import CalendarSource, Person, Venue


def first_calendar(
    *, venue: Venue, upload: UploadedFile | None, address: str, by: Person, at: datetime
) -> tuple[CalendarSource, bytes]:
    """The calendar and its content, still to be tried. Sent again, it is the same calendar: the same
    one of files, or the one of that address. Raises NotFetched."""
    content: bytes = upload.read() if upload else fetch_calendar(address)
    kept = "" if upload else address
    running = CalendarSource.objects.in_venue(venue).filter(ended_on=None, address=kept)
    source = running.order_by("pk").first()
    if source is None:
        source = add_calendar(venue=venue, name=_free_name(venue), address=kept, by=by, at=at)
    return source, content


def _free_name(venue: Venue) -> str:
    taken = set(CalendarSource.objects.in_venue(venue).values_list("name", flat=True))
    names = [venue.name[:90], *(f"{venue.name[:90]} {number}" for number in range(2, 100))]
    return next(name for name in names if name not in taken)
