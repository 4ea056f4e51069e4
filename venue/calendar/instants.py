"""Days and local times as moments in UTC (RFC 5545, 3.3.5 and 3.3.12). Pure."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, tzinfo

from venue.calendar.shapes import Moment


def is_day(moment: Moment) -> bool:
    return not isinstance(moment, datetime)


def local(moment: Moment) -> datetime:
    """The moment on its own clock, without its zone; a day begins at midnight."""
    if isinstance(moment, datetime):
        return moment.replace(tzinfo=None)
    return datetime.combine(moment, time())


def zone_of(moment: Moment, house: tzinfo) -> tzinfo:
    """A day and a floating time (3.3.5, form 1) are on the clock of the house."""
    if isinstance(moment, datetime) and moment.tzinfo is not None:
        return moment.tzinfo
    return house


def instant(on_clock: datetime, zone: tzinfo) -> datetime:
    """A local time in UTC. One that comes twice in the night of the clock change is the first; one
    that the clock jumps over is read with the offset before the jump (3.3.5, form 3).

    >>> from zoneinfo import ZoneInfo
    >>> str(instant(datetime(2027, 3, 28, 1, 30), ZoneInfo("Europe/London")))
    '2027-03-28 01:30:00+00:00'
    """
    return on_clock.replace(tzinfo=zone, fold=0).astimezone(UTC)


def exists(on_clock: datetime, zone: tzinfo) -> bool:
    """Whether the clock ever shows this time: it jumps over some when summer time begins."""
    return instant(on_clock, zone).astimezone(zone).replace(tzinfo=None) == on_clock


def key_of(moment: Moment) -> str:
    """The name of an original start, the same however its zone is written.

    >>> key_of(date(2026, 7, 1)), key_of(datetime(2026, 7, 1, 19, tzinfo=UTC))
    ('20260701', '20260701T190000Z')
    """
    if not isinstance(moment, datetime):
        return f"{moment:%Y%m%d}"
    if moment.tzinfo is None:
        return f"{moment:%Y%m%dT%H%M%S}"
    return f"{instant(local(moment), moment.tzinfo):%Y%m%dT%H%M%SZ}"


def end_of_day(begin: datetime, house: tzinfo) -> datetime:
    """Midnight after a moment, on the clock of the house."""
    day = begin.astimezone(house).date() + timedelta(days=1)
    return instant(datetime.combine(day, time()), house)


def like(moment: Moment, start: Moment) -> Moment:
    """A moment in the form of the entry's start: another zone, or a day where the start is one."""
    if not isinstance(start, datetime):
        return moment.date() if isinstance(moment, datetime) else moment
    if isinstance(moment, datetime):
        if start.tzinfo is not None and moment.tzinfo is not None:
            return moment.astimezone(start.tzinfo)
        return moment.replace(tzinfo=start.tzinfo)
    return moment


def day_of(moment: Moment) -> date:
    return moment.date() if isinstance(moment, datetime) else moment
