"""When an occurrence ends (RFC 5545, 3.6.1 and 3.8.5.3). Pure."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, tzinfo

from venue.calendar.instants import end_of_day, instant, is_day, local, zone_of
from venue.calendar.shapes import Entry, Moment

DAY = timedelta(days=1)
End = Callable[[datetime, datetime], datetime]
"""From a start on its own clock and in UTC to the end in UTC."""

NO_END = "no end is given; it is taken to hold the house until midnight"
ENDS_BEFORE = "it ends before it starts; it is taken to hold the house until midnight"


def end_by(entry: Entry, house: tzinfo) -> tuple[End, tuple[str, ...]]:
    """How long each occurrence takes, and what had to be assumed."""
    zone = zone_of(entry.start, house)
    if entry.end is not None:
        return _until(entry.start, entry.end, zone, house)
    if entry.duration is not None and entry.duration > timedelta(0):
        return for_duration(entry.duration, zone, in_days=is_day(entry.start)), ()
    if is_day(entry.start):
        return for_duration(DAY, zone, in_days=True), ()  # 3.6.1: one day
    return lambda on_clock, begin: end_of_day(begin, house), (NO_END,)


def _until(start: Moment, end: Moment, zone: tzinfo, house: tzinfo) -> tuple[End, tuple[str, ...]]:
    if is_day(start):
        length = max(local(end) - local(start), DAY)
        return for_duration(length, zone, in_days=True), ()
    ends_in = zone if is_day(end) else zone_of(end, house)
    exact = instant(local(end), ends_in) - instant(local(start), zone)
    if exact > timedelta(0):
        return lambda on_clock, begin: begin + exact, ()
    note = NO_END if not exact else ENDS_BEFORE
    return lambda on_clock, begin: end_of_day(begin, house), (note,)


def for_duration(duration: timedelta, zone: tzinfo, *, in_days: bool) -> End:
    """The same length on the clock. Where that differs from the same length in hours, which the
    library does not tell apart (P1D and PT24H in the night of a clock change), the longer; days
    are always whole days."""

    def end(on_clock: datetime, begin: datetime) -> datetime:
        nominal = instant(on_clock + duration, zone)
        return nominal if in_days else max(nominal, begin + duration)

    return end
