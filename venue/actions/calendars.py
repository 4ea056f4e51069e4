"""Calendars that bookings come from: begun, changed, ended; and what a person says of bookings."""

from __future__ import annotations

from datetime import date, datetime
from urllib.parse import urlsplit

from django.db import transaction

from venue.actions.booking_rules import append_rule, recognise_again, take_starting_rules
from venue.actions.log import Deed, write_line, write_lines
from venue.calendar.kinds import KindRule
from venue.models import Booking, CalendarSource, Person, Venue
from venue.queries.calendars import UnknownGroup


class NameTaken(ValueError):
    """Another running calendar of the venue has this name."""


def add_calendar(
    *, venue: Venue, name: str, address: str, by: Person | None, at: datetime
) -> CalendarSource:
    """A venue without rules begins with the usual ones."""
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)
        _refuse_taken(venue, name)
        source = CalendarSource.objects.create(venue=venue, name=name, address=address, since=at)
        after = {"name": name, "host": _host(address)}
        write_line(venue=venue, by=by, at=at, did="add_calendar", subject=source, after=after)
        take_starting_rules(venue=venue, by=by, at=at)
    return source


def change_calendar(
    *, source: CalendarSource, name: str, address: str, by: Person, at: datetime
) -> None:
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=source.venue_id)
        if (source.name, source.address) == (name, address):
            return
        _refuse_taken(source.venue, name, but=source.pk)
        before = {"name": source.name, "host": _host(source.address)}
        after = {"name": name, "host": _host(address), "other_address": source.address != address}
        fields = {"name": name, "address": address, "told": "", "needs_a_look": False}
        CalendarSource.objects.filter(pk=source.pk).update(**fields)
        write_line(
            venue=source.venue, by=by, at=at, did="change_calendar", subject=source,
            before=before, after=after,
        )  # fmt: skip


def end_calendar(*, source: CalendarSource, by: Person, at: datetime) -> int:
    """Its bookings ahead are cancelled; those that are past stay. Nobody knows any more that all is
    entered, so that statement is taken back. Returns how many were ahead."""
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=source.venue_id)
        today = at.astimezone(source.venue.zone).date()
        ended = CalendarSource.objects.filter(pk=source.pk, ended_on=None).update(ended_on=today)
        if not ended:
            return 0
        ahead = list(Booking.objects.filter(source=source, ends__gt=at))
        Booking.objects.filter(pk__in=[row.pk for row in ahead]).update(
            state=Booking.State.CANCELLED
        )
        if ahead:
            Venue.objects.filter(pk=source.venue_id).update(calendar_known_until=None)
        deeds = [Deed("end_calendar", source, after={"cancelled": len(ahead)})]
        deeds += [Deed("cancel_booking", row, after={"state": "cancelled"}) for row in ahead]
        write_lines(venue=source.venue, by=by, at=at, deeds=deeds)
    return len(ahead)


def say_calendar_known(*, venue: Venue, until: date | None, by: Person, at: datetime) -> None:
    """Everything booked is entered up to this day; None takes the statement back."""
    with transaction.atomic():
        held = Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)
        if held.calendar_known_until == until:
            return
        Venue.objects.filter(pk=venue.pk).update(calendar_known_until=until)
        write_line(
            venue=venue, by=by, at=at, did="say_calendar_known", subject=venue,
            before={"until": held.calendar_known_until}, after={"until": until},
        )  # fmt: skip


def answer_unknown(
    *, group: UnknownGroup, venue: Venue, rule: KindRule, add_rule: bool, by: Person, at: datetime
) -> None:
    """One answer for all bookings of a title: as a rule, for later ones too, or only for these."""
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)
        if add_rule:
            made = append_rule(venue, rule)
            after = {"words": rule.words, "what": rule.what, "leaves": list(rule.leaves)}
            deed = Deed("add_booking_rule", made, after=after)
            recognise_again(venue=venue, because=[deed], by=by, at=at)
        # Those entered by hand, and all when no rule is wanted.
        rows = Booking.objects.select_for_update(no_key=True).filter(
            pk__in=[one.pk for one in group.bookings], what=Booking.What.UNKNOWN
        )
        left = list(rows)
        fields = {"what": rule.what, "leaves_accessible": list(rule.leaves), "set_by_hand": True}
        Booking.objects.filter(pk__in=[row.pk for row in left]).update(**fields)
        deeds = [Deed("say_what_booking_is", row, before={"what": row.what}, after=fields)
                 for row in left]  # fmt: skip
        write_lines(venue=venue, by=by, at=at, deeds=deeds)


def _refuse_taken(venue: Venue, name: str, but: int = 0) -> None:
    same = CalendarSource.objects.in_venue(venue).filter(name=name, ended_on=None)
    if same.exclude(pk=but).exists():
        raise NameTaken(f"There is a calendar named {name} already.")


def _host(address: str) -> str:
    """The address itself is a secret; where it leads is none."""
    return urlsplit(address).hostname or ""
