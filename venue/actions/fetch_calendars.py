"""Fetch the calendars that have an address, once a day, and import what is safe to import alone."""

from __future__ import annotations

import logging
from datetime import datetime, timedelta

from django.db.models import Q

from venue.actions.import_calendar import Agreed, CalendarMovedOn, import_calendar, try_calendar
from venue.calendar.comparison import Comparison
from venue.calendar.shapes import UnreadableCalendar
from venue.calendar_address import NotFetched, fetch_calendar
from venue.models import CalendarSource

log = logging.getLogger(__name__)

ONCE_IN = timedelta(hours=20)
AGAIN_AFTER_A_FAULT = timedelta(hours=2)
AT_A_TIME = 2  # the tick has two minutes for all it does


def fetch_due_calendars(*, at: datetime) -> int:
    """Returns how many were asked. What fails is told on the calendar's page."""
    due = Q(tried_at=None) | Q(tried_at__lt=at - ONCE_IN)
    again = Q(tried_at__lt=at - AGAIN_AFTER_A_FAULT) & ~Q(told="") & Q(needs_a_look=True)
    running = CalendarSource.objects.filter(ended_on=None).exclude(address="")
    # The first import is a person's: until then nobody has looked at what it would do.
    waiting = running.filter(due | again, read_at__isnull=False).select_related("venue")
    found = list(waiting.order_by("tried_at", "pk")[:AT_A_TIME])
    for source in found:
        CalendarSource.objects.filter(pk=source.pk).update(tried_at=at)
        told, look = _fetch(source, at)
        CalendarSource.objects.filter(pk=source.pk).update(told=told, needs_a_look=look)
    return len(found)


def _fetch(source: CalendarSource, at: datetime) -> tuple[str, bool]:
    """What it came to, and whether a person must look."""
    try:
        content = fetch_calendar(source.address)
        comparison = try_calendar(source=source, content=content, at=at)
        why = why_a_person_looks(comparison)
        if why:
            return f"{why} Nothing was changed.", True
        import_calendar(
            source=source, content=content, file_name="fetched by itself", by=None, at=at,
            agreed=Agreed(comparison.digest()),
        )  # fmt: skip
    except (NotFetched, UnreadableCalendar, CalendarMovedOn) as fault:
        return f"{fault} The bookings stay as they were.", True
    except Exception:
        log.exception("calendar %s could not be fetched", source.pk)
        return "It could not be fetched; the server's log says more.", True
    return in_words(comparison), False


def why_a_person_looks(comparison: Comparison) -> str:
    """What is not applied without a person; empty: it may be."""
    if comparison.faults:
        number = len(comparison.faults)
        return "1 entry cannot be read." if number == 1 else f"{number} entries cannot be read."
    if cancelled := comparison.many_cancelled:
        return f"{cancelled} of {comparison.ahead} bookings ahead would be cancelled."
    return ""


def in_words(comparison: Comparison) -> str:
    counts = comparison.counts()
    told = [f"{number} {kind}" for kind, number in counts.items() if number]
    return f"{', '.join(told)}." if told else "Nothing changed."
