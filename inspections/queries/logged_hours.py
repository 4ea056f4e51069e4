"""How long checks really took, from the records: the median where there are enough of a kind."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from statistics import median

from inspections.models import Record
from venue.models import Venue

ENOUGH = 3
LOOK_BACK = timedelta(days=3 * 365)
# A check that lay open overnight tells nothing of the work, nor does one that was only sent.
SHORTEST, LONGEST = timedelta(minutes=2), timedelta(hours=8)
QUARTER = 15 * 60


@dataclass(frozen=True)
class Logged:
    """The median of so many, in hours, rounded up to the quarter."""

    hours: Decimal
    count: int


def logged_hours(venue: Venue, now: datetime) -> dict[str, Logged]:
    """By regime: hours of one person at one piece of equipment, from the first answer to the
    sending. It is the time of the person who filled it in; who helped is not in it."""
    rows = Record.objects.filter(venue=venue, at__gte=now - LOOK_BACK)
    seconds: dict[str, list[float]] = {}
    for slug, started, ended in rows.values_list("version__slug", "started_at", "at"):
        if SHORTEST <= ended - started <= LONGEST:
            seconds.setdefault(slug, []).append((ended - started).total_seconds())
    return {
        slug: Logged(rounded_hours(median(each)), len(each))
        for slug, each in seconds.items()
        if len(each) >= ENOUGH
    }


def rounded_hours(seconds: float) -> Decimal:
    """Up to the quarter-hour.

    >>> rounded_hours(60), rounded_hours(1000)
    (Decimal('0.25'), Decimal('0.5'))
    """
    return Decimal(int(-(-seconds // QUARTER))) / 4
