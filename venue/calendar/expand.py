"""Entries as the occurrences of a stretch of time (RFC 5545, 3.8.4.4 and 3.8.5). Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from venue.calendar.instants import instant, key_of
from venue.calendar.recurrence import RepeatsTooOften, TooMuchToFollow
from venue.calendar.series import Series, Window, alone
from venue.calendar.shapes import (
    CalendarFile,
    Entry,
    Expansion,
    Fault,
    Occurrence,
    UnreadableCalendar,
)

MOST_OCCURRENCES = 5_000
TOO_MANY = (
    f"The calendar has more than {MOST_OCCURRENCES:,} bookings in the time that is read. "
    "Read a shorter time, or send the calendar of fewer rooms."
)


def expand(found: CalendarFile, window: Window) -> Expansion:
    """Every occurrence that reaches into the window. Raises UnreadableCalendar above 5,000."""
    expansion = Expansion(faults=list(found.faults))
    try:
        by_uid = _by_uid(found.entries)
        for uid, instead_of in found.taken_back:
            expansion.taken_back.add((uid, key_of(instead_of) if instead_of else ""))
    except (OverflowError, ValueError) as fault:
        raise UnreadableCalendar(f"A day in the file cannot be worked out: {fault}.") from fault
    for entries in by_uid.values():
        try:
            made = [one for one in _of_uid(entries, window) if window.meets(one)]
        except TooMuchToFollow as fault:
            raise UnreadableCalendar(f"The calendar cannot be read: {fault}.") from fault
        except (OverflowError, ValueError) as fault:
            words = str(fault) if isinstance(fault, RepeatsTooOften) else "its year cannot be meant"
            expansion.faults.append(Fault(entries[0].title, f"{words}."))
            continue
        expansion.occurrences += made
        if len(expansion.occurrences) > MOST_OCCURRENCES:
            raise UnreadableCalendar(TOO_MANY)
    expansion.occurrences.sort(key=lambda one: (one.starts, one.uid, one.original))
    return expansion


def _of_uid(entries: list[Entry], window: Window) -> Iterator[Occurrence]:
    masters = [one for one in entries if one.instead_of is None]
    overrides = [one for one in entries if one.instead_of is not None]
    used: set[str] = set()
    for master in masters:
        series = Series(master, overrides, window, len(masters) > 1)
        yield from series.occurrences()
        used |= series.replaced
    yield from alone(overrides, used, window)


def _by_uid(entries: list[Entry]) -> dict[str, list[Entry]]:
    """Of several states of the same entry the newest; where nothing says which that is, all."""
    groups: dict[tuple[str, str], list[Entry]] = {}
    for entry in entries:
        key = (entry.uid, key_of(entry.instead_of) if entry.instead_of else "")
        groups.setdefault(key, []).append(entry)
    by_uid: dict[str, list[Entry]] = {}
    for (uid, _), same in groups.items():
        newest = max(map(_age, same))
        kept = {_told_apart(one): one for one in same if _age(one) == newest}
        by_uid.setdefault(uid, []).extend(kept.values())
    return by_uid


def _age(entry: Entry) -> tuple[int, datetime]:
    return entry.sequence, entry.changed or datetime.min.replace(tzinfo=UTC)


def _told_apart(entry: Entry) -> tuple[str, str]:
    return key_of(entry.start), entry.title


def window_of(first: date, last: date, house: tzinfo) -> Window:
    """From the midnight that begins the first day to the one that ends the last."""
    after = last + timedelta(days=1)
    return Window(
        instant(datetime.combine(first, time()), house),
        instant(datetime.combine(after, time()), house),
        house,
    )
