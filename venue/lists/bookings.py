"""Bookings as a long table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from venue.kind_shapes import ACCESS_WORDS
from venue.language_now import said
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Booking, Venue
from venue.table_shapes import Cell, Column, Filter

DAY = "D j M Y"


def booking_table(venue: Venue) -> TableKind[Booking]:
    columns: list[Column[Booking]] = [
        Column("from", _("From"), lambda row: _from(row, venue), lambda row: row.starts, "date"),
        Column("to", _("Until"), lambda row: _to(row, venue), lambda row: row.ends, "date"),
        Column("kind", _("Kind"), _kind, _kind_words, total=_kinds),
        Column("title", _("Title"), lambda row: row.title, lambda row: row.title, "head", total=_number_of),
        Column("leaves", _("Leaves accessible"), _leaves),
        Column("calendar", _("Calendar"), _calendar, _calendar),
        Column("where", _("Location"), lambda row: row.location or _("None given"),
               lambda row: row.location, at_first=False),
        Column("category", _("Category"), lambda row: row.categories or _("None given"),
               lambda row: row.categories, at_first=False),
    ]  # fmt: skip
    filters: list[Filter[Booking]] = [
        Filter("words", _("Words"), _words, search=True),
        Filter("since", _("From the day"), _title, day=True,
               keeps=lambda row, day: _days(row, venue)[1].isoformat() >= day),
        Filter("kind", _("Kind"), lambda row: row.what, _kind_words),
        Filter("leaves", _("Leaves accessible"), _title, choices=_accesses(),
               keeps=lambda row, access: access in row.leaves_accessible),
        Filter("calendar", _("Calendar"), _calendar),
    ]  # fmt: skip
    return TableKind("bookings", _("Bookings"), columns, filters, also=("show",))


def _days(booking: Booking, venue: Venue) -> tuple[date, date]:
    """The first and the last day, on the clock of the house; midnight ends the day before it."""
    last = max(booking.ends - timedelta(seconds=1), booking.starts)
    return booking.starts.astimezone(venue.zone).date(), last.astimezone(venue.zone).date()


def _from(row: Booking, venue: Venue) -> str:
    if row.all_day:
        return _("%(day)s, all day") % {"day": day_words(_days(row, venue)[0], form=DAY)}
    return day_words(localtime(row.starts, venue.zone), form=f"{DAY} H:i")


def _to(row: Booking, venue: Venue) -> str:
    first, last = _days(row, venue)
    if row.all_day:
        return "" if first == last else day_words(last, form=DAY)
    return day_words(localtime(row.ends, venue.zone), form="H:i" if first == last else f"{DAY} H:i")


def _kind_words(row: Booking) -> str:
    return said(row.get_what_display())


def _kind(row: Booking) -> Cell:
    """What nobody has said yet has the mark of what cannot be relied on."""
    unknown = row.what == Booking.What.UNKNOWN
    return Cell(_kind_words(row), state="cannot be decided" if unknown else "")


def _title(row: Booking) -> str:
    return row.title


def _accesses() -> list[tuple[str, str]]:
    return [(name, said(words)) for name, words in ACCESS_WORDS.items()]


def _leaves(row: Booking) -> str:
    known = dict(_accesses())
    return ", ".join(known.get(one, one) for one in row.leaves_accessible) or _("Nothing")


def _calendar(row: Booking) -> str:
    return row.source.name if row.source else _("By hand")


def _words(row: Booking) -> str:
    return f"{row.title} {_kind_words(row)} {row.location} {row.categories} {_calendar(row)}"


def _number_of(rows: Sequence[Booking]) -> str:
    return ngettext("%(number)s booking", "%(number)s bookings", len(rows)) % {"number": len(rows)}


def _kinds(rows: Sequence[Booking]) -> str:
    return counted(row.get_what_display().lower() for row in rows)
