"""Import a calendar: all of it or nothing, in one transaction, told in the log."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction

from venue.actions.calendar_rows import write_changes
from venue.actions.log import Deed, write_lines
from venue.calendar.comparison import Comparison, compare
from venue.calendar.expand import expand
from venue.calendar.reading import read_calendar
from venue.calendar.shapes import CalendarFile
from venue.models import CalendarSource, Person, Venue
from venue.queries.calendars import held_of, kind_rules, window_from


class CalendarMovedOn(ValueError):
    """The bookings or the rules changed between the trial and the confirmation."""

    def __init__(self, comparison: Comparison) -> None:
        super().__init__(
            "The bookings have changed since the calendar was tried. Look at the new result below "
            "and confirm again. Nothing was changed."
        )
        self.comparison = comparison


class CannotBeComplete(ValueError):
    """The calendar cannot be called complete up to that day; nothing was changed."""


@dataclass(frozen=True)
class Agreed:
    """What a person was shown and agreed to."""

    digest: str = ""
    # Everything booked is entered up to this day; None says nothing about it.
    complete_until: date | None = None


def try_calendar(*, source: CalendarSource, content: bytes, at: datetime) -> Comparison:
    """What importing the file would do now. Writes nothing. Raises UnreadableCalendar."""
    return _compared(source, read_calendar(content), at)


def _compared(source: CalendarSource, found: CalendarFile, at: datetime) -> Comparison:
    window = window_from(source.venue, at)
    expansion = expand(found, window)
    held, rules = held_of(source), kind_rules(source.venue)
    return compare(expansion, held, rules, window, is_whole=found.is_whole)


def import_calendar(
    *, source: CalendarSource, content: bytes, file_name: str, by: Person | None, at: datetime,
    agreed: Agreed | None = None,
) -> Comparison:  # fmt: skip
    """Apply the calendar. Raises UnreadableCalendar, CalendarMovedOn, CannotBeComplete; then
    nothing was changed."""
    agreed = agreed or Agreed()
    found = read_calendar(content)
    with transaction.atomic():
        venue = Venue.objects.select_for_update(no_key=True).get(pk=source.venue_id)
        comparison = _compared(source, found, at)
        # A second tap finds nothing left to change: that is no reason to refuse.
        if agreed.digest and comparison.changes and agreed.digest != comparison.digest():
            raise CalendarMovedOn(comparison)
        _refuse_incomplete(agreed.complete_until, comparison, venue, at)
        deeds = write_changes(source, comparison, at)
        told = {"file": file_name, "sha256": hashlib.sha256(content).hexdigest()}
        after: dict[str, Any] = told | comparison.counts() | {"unread": len(comparison.faults)}
        until = _complete_until(agreed.complete_until, comparison, venue)
        if until != venue.calendar_known_until:
            after["complete_until"] = until
            Venue.objects.filter(pk=venue.pk).update(calendar_known_until=until)
        if deeds or until != venue.calendar_known_until:
            first = Deed("import_calendar", source, after=after)
            write_lines(venue=venue, by=by, at=at, deeds=[first, *deeds])
        CalendarSource.objects.filter(pk=source.pk).update(read_at=at, needs_a_look=False)
    return comparison


def _complete_until(
    said: date | None, comparison: Comparison, venue: Venue
) -> date | None:  # fmt: skip
    """What was said before holds, unless entries are missing: then no day without a booking is
    known to be free."""
    return None if comparison.faults else said or venue.calendar_known_until


def _refuse_incomplete(
    until: date | None, comparison: Comparison, venue: Venue, at: datetime
) -> None:
    if until is None:
        return
    if comparison.faults:
        raise CannotBeComplete(
            "Entries of this calendar cannot be read, so it cannot be called complete. Correct "
            "them in the calendar, or leave the day empty. Nothing was changed."
        )
    last = window_from(venue, at).ends.astimezone(venue.zone).date()
    if until >= last:
        raise CannotBeComplete(
            f"The calendar is read up to the day before {last:%-d %b %Y}; it cannot be complete "
            "beyond that. Nothing was changed."
        )
