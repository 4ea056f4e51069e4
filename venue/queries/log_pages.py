"""The log for its page, newest first: read by line number, never counted, never skipped over."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from venue.models import LogHead, LogLine, Person, Venue
from venue.queries.log_names import ShownLine, shown, with_names
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch

LINES_AT_ONCE = 2000


def size_of_log(venue: Venue) -> int:
    """As its head says, which every line that is written moves on."""
    return LogHead.objects.in_venue(venue).values_list("size", flat=True).first() or 0


def lines_read(
    venue: Venue, person: Person, *, past: str = "", after: int = 0, day: date | None = None
) -> Stretch[ShownLine]:
    """At most so many lines. `after`: only those with a higher number; `day`: from its end back."""
    lines = LogLine.objects.visible_to(person).in_venue(venue).filter(number__gt=after)
    if day:
        midnight = datetime.combine(day + timedelta(days=1), time.min, venue.zone)
        lines = lines.filter(number__lte=_last_before(venue, midnight))
    read = stretch_of(with_names(lines.defer("body")), ("-number",), past, LINES_AT_ONCE)
    return Stretch(shown(read.rows), read.more, read.begun)


def _last_before(venue: Venue, moment: datetime) -> int:
    """The last line before this moment, halving where it may be: twenty looks into a million lines,
    for lines stand in the order in which they were written."""
    lines = LogLine.objects.in_venue(venue)
    low, high = 0, size_of_log(venue)
    while low < high:
        middle = (low + high + 1) // 2
        at = lines.filter(number=middle).values_list("at", flat=True).first()
        if at is not None and at < moment:
            low = middle
        else:
            high = middle - 1
    return low
