"""Hours out of service within any 24 that follow each other. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from fractions import Fraction

DAY = Fraction(24)
Outage = tuple[Fraction, Fraction]


@dataclass(frozen=True)
class WorstDay:
    """The most hours out within 24 that follow each other, and when those 24 begin."""

    hours: Fraction
    begins: Fraction


def joined(outages: Iterable[Outage]) -> list[Outage]:
    """Outages in order, overlapping ones joined: two at once are one hour, not two.

    >>> [tuple(map(int, one)) for one in joined([(5, 9), (1, 3), (2, 6)])]
    [(1, 9)]
    """
    kept: list[Outage] = []
    for begin, end in sorted((Fraction(a), Fraction(b)) for a, b in outages):
        if end < begin:
            raise ValueError("An outage ends before it begins.")
        if kept and begin <= kept[-1][1]:
            kept[-1] = (kept[-1][0], max(kept[-1][1], end))
        else:
            kept.append((begin, end))
    return kept


def worst_day(outages: Sequence[Outage], window: Fraction = DAY) -> WorstDay:
    """Most hours out of service within any `window` hours that follow each other.

    Formula: the greatest over all window positions of the summed overlap; it is reached where the
    window begins with an outage or ends with one, so only those are tried. Hours.
    Limits: outages up to now; one that runs on must be given its expected end.
    Source: hours count together within 24 and not one outage at a time: the Joint Commission's
    standards FAQ on life safety (NFPA 101, 9.6.1.6); the arithmetic is our own.

    >>> worst_day([(20, 22), (34, 36), (43, Fraction(89, 2))]).hours
    Fraction(5, 1)
    """
    together = joined(outages)
    begins = [begin for begin, _ in together] + [end - window for _, end in together]
    found = [WorstDay(_within(together, start, start + window), start) for start in begins]
    return max(found, key=lambda day: (day.hours, -day.begins), default=WorstDay(Fraction(0), DAY))


def _within(outages: list[Outage], start: Fraction, end: Fraction) -> Fraction:
    overlaps = (min(stop, end) - max(begin, start) for begin, stop in outages)
    return sum((max(Fraction(0), overlap) for overlap in overlaps), Fraction(0))


def hours_from_moments(outages: Iterable[tuple[datetime, datetime]]) -> list[Outage]:
    """Outages between two moments as hours since an epoch, exactly; both need a time zone.

    In hours that really passed: a night in which the clocks change counts as long as it was.

    >>> from datetime import timezone
    >>> at = datetime(2025, 3, 1, 20, tzinfo=timezone.utc)
    >>> [int(end - begin) for begin, end in hours_from_moments([(at, at.replace(hour=22))])]
    [2]
    """
    return [(_hours(begin), _hours(end)) for begin, end in outages]


def _hours(moment: datetime) -> Fraction:
    if moment.tzinfo is None:
        raise ValueError("A moment needs its time zone.")
    passed = moment - datetime(1970, 1, 1, tzinfo=UTC)
    return Fraction(passed // timedelta(microseconds=1), 3_600_000_000)
