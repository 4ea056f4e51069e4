"""The calendar of the first hour: named for the house, read from a file or its address."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.core.files.uploadedfile import UploadedFile

from venue.actions.calendars import add_calendar, change_calendar
from venue.actions.tried_files import keep_for_later
from venue.calendar.expand import expand
from venue.calendar.reading import read_calendar
from venue.calendar_address import fetch_calendar
from venue.models import Booking, CalendarSource, Person, Venue
from venue.queries.calendars import window_from


@dataclass(frozen=True)
class FirstCalendar:
    """Still to be tried. `has_address_now`: it came as a file before, and is fetched from now on."""

    source: CalendarSource
    content: bytes
    has_address_now: bool = False


def first_calendar(
    *, venue: Venue, upload: UploadedFile | None, address: str, by: Person, at: datetime
) -> FirstCalendar:
    """Sent again, it is the same calendar. Nothing is made of what cannot be read: raises NotFetched,
    UnreadableCalendar, StoreFull."""
    content: bytes = upload.read() if upload else fetch_calendar(address)
    found = read_calendar(content)
    expand(found, window_from(venue, at))  # it may be read and still have a day nobody can work out
    keep_for_later(content=content, at=at)
    kept = "" if upload else address
    source = _running(venue, kept, {entry.uid for entry in found.entries}, at)
    if source is None:
        source = add_calendar(venue=venue, name=_free_name(venue), address=kept, by=by, at=at)
    elif kept and not source.address:
        change_calendar(source=source, name=source.name, address=kept, by=by, at=at)
        return FirstCalendar(source, content, has_address_now=True)
    return FirstCalendar(source, content)


def _running(venue: Venue, address: str, uids: set[str], at: datetime) -> CalendarSource | None:
    """That of the address; else the one that holds these entries, so that none stands twice; a file
    with none of them is the next one of the calendar of files."""
    running = list(CalendarSource.objects.in_venue(venue).filter(ended_on=None).order_by("pk"))
    of_address = [one for one in running if address and one.address == address]
    ways_open = [one for one in running if not address or not one.address]
    same = [one for one in ways_open if _holds(one, uids, at)]
    of_files = [one for one in running if not address and not one.address]
    return next(iter([*of_address, *same, *of_files]), None)


def _holds(source: CalendarSource, uids: set[str], at: datetime) -> bool:
    """Most of what it has ahead. An invitation may stand in the diaries of two houses."""
    ahead = Booking.objects.filter(source=source, ends__gt=at)
    held = set(ahead.values_list("uid", flat=True))
    return len(held & uids) * 2 > len(held)


def _free_name(venue: Venue) -> str:
    taken = set(CalendarSource.objects.in_venue(venue).values_list("name", flat=True))
    names = [venue.name[:90], *(f"{venue.name[:90]} {number}" for number in range(2, 100))]
    return next(name for name in names if name not in taken)
