"""The rules that say what a booking is. Whatever changes them looks at the bookings ahead again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from venue.actions.calendar_rows import write_changes
from venue.actions.log import Deed, write_lines
from venue.calendar.comparison import compare
from venue.calendar.kinds import ITSELF, KindRule
from venue.calendar.shapes import Expansion, Occurrence
from venue.calendar.starting_rules import starting_rules
from venue.models import BookingRule, CalendarSource, Person, Venue
from venue.queries.calendars import held_of, kind_rules, rules_of, window_from

STEP = 10
FIELDS = (
    "words", "where", "what", "leaves_accessible", "half_days_before", "half_days_after",
)  # fmt: skip


def add_rule(*, venue: Venue, rule: KindRule, by: Person | None, at: datetime) -> BookingRule:
    """The last of all."""
    with transaction.atomic():
        _lock(venue)
        made = append_rule(venue, rule)
        deed = Deed("add_booking_rule", made, after=_fields(rule))
        recognise_again(venue=venue, because=[deed], by=by, at=at)
    return made


def append_rule(venue: Venue, rule: KindRule) -> BookingRule:
    last = rules_of(venue).aggregate(last=Max("order"))["last"] or 0
    return BookingRule.objects.create(venue=venue, order=last + STEP, **_fields(rule))


def change_rule(*, rule: BookingRule, to: KindRule, by: Person, at: datetime) -> None:
    with transaction.atomic():
        _lock(rule.venue)
        before = {name: getattr(rule, name) for name in FIELDS}
        if before == _fields(to):
            return
        BookingRule.objects.filter(pk=rule.pk).update(**_fields(to))
        deed = Deed("change_booking_rule", rule, before=before, after=_fields(to))
        recognise_again(venue=rule.venue, because=[deed], by=by, at=at)


def say_what_kinds_leave(
    *, venue: Venue, leaves: Mapping[str, Sequence[str]], by: Person, at: datetime
) -> int:
    """Every rule of a kind leaves this accessible from now on. Returns how many rules changed."""
    with transaction.atomic():
        _lock(venue)
        deeds = []
        for rule in rules_of(venue).filter(what__in=list(leaves)):
            wanted = list(leaves[rule.what])
            if sorted(rule.leaves_accessible) == sorted(wanted):
                continue
            before = {"leaves_accessible": rule.leaves_accessible}
            BookingRule.objects.filter(pk=rule.pk).update(leaves_accessible=wanted)
            after = {"leaves_accessible": wanted}
            deeds.append(Deed("change_booking_rule", rule, before=before, after=after))
        if deeds:
            recognise_again(venue=venue, because=deeds, by=by, at=at)
    return len(deeds)


def move_rule(*, rule: BookingRule, up: bool, by: Person, at: datetime) -> None:
    """One place up or down; the first rule that matches counts."""
    with transaction.atomic():
        _lock(rule.venue)
        rules = list(rules_of(rule.venue))
        here = next(place for place, one in enumerate(rules) if one.pk == rule.pk)
        there = here - 1 if up else here + 1
        if not 0 <= there < len(rules):
            return
        rules[here], rules[there] = rules[there], rules[here]
        for place, one in enumerate(rules):
            one.order = (place + 1) * STEP
        BookingRule.objects.bulk_update(rules, ["order"])
        deed = Deed(
            "move_booking_rule", rule, before={"place": here + 1}, after={"place": there + 1}
        )
        recognise_again(venue=rule.venue, because=[deed], by=by, at=at)


def remove_rule(*, rule: BookingRule, by: Person, at: datetime) -> None:
    with transaction.atomic():
        _lock(rule.venue)
        before = {name: getattr(rule, name) for name in FIELDS}
        deed = Deed("remove_booking_rule", BookingRule(pk=rule.pk, words=rule.words), before=before)
        BookingRule.objects.filter(pk=rule.pk).delete()
        recognise_again(venue=rule.venue, because=[deed], by=by, at=at)


def take_starting_rules(*, venue: Venue, by: Person | None, at: datetime) -> int:
    """Where there are no rules yet. Returns how many were taken."""
    with transaction.atomic():
        _lock(venue)
        if rules_of(venue).exists():
            return 0
        made = [append_rule(venue, rule) for rule in starting_rules()]
        deeds = [Deed("add_booking_rule", one, after=_fields(rule))
                 for one, rule in zip(made, starting_rules(), strict=True)]  # fmt: skip
        recognise_again(venue=venue, because=deeds, by=by, at=at)
    return len(made)


def recognise_again(*, venue: Venue, because: list[Deed], by: Person | None, at: datetime) -> None:
    """Ask the rules again what the bookings ahead are, and write the lines of all that changed."""
    deeds = list(because)
    window, rules = window_from(venue, at), kind_rules(venue)
    for source in CalendarSource.objects.in_venue(venue).filter(ended_on=None):
        source.venue = venue
        held = held_of(source)
        stands = [one.booking for one in held if not one.cancelled and one.booking.piece == ITSELF]
        expansion = Expansion([
            Occurrence(one.uid, one.original, one.title, one.starts, one.ends, one.all_day,
                       one.location, one.categories)
            for one in stands if one.ends > window.begins
        ])  # fmt: skip
        deeds += write_changes(source, compare(expansion, held, rules, window, is_whole=True), at)
    write_lines(venue=venue, by=by, at=at, deeds=deeds)


def _lock(venue: Venue) -> None:
    Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)


def _fields(rule: KindRule) -> dict[str, Any]:
    return {
        "words": rule.words, "where": rule.where, "what": rule.what,
        "leaves_accessible": list(rule.leaves), "half_days_before": rule.before,
        "half_days_after": rule.after,
    }  # fmt: skip
