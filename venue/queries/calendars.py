"""Calendars, the rules that say what a booking is, and what is not yet known."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import Count, Q, QuerySet

from venue.calendar.comparison import Held
from venue.calendar.expand import window_of
from venue.calendar.kinds import ITSELF, UNKNOWN, KindRule, Wanted, plain
from venue.calendar.series import Window
from venue.models import Booking, BookingRule, CalendarSource, Person, Venue

HORIZON = timedelta(days=3 * 366)  # three years, as far as anybody plans


def window_from(venue: Venue, at: datetime) -> Window:
    """From today on, three years."""
    today = at.astimezone(venue.zone).date()
    return window_of(today, today + HORIZON, venue.zone)


def rules_of(venue: Venue) -> QuerySet[BookingRule]:
    return BookingRule.objects.in_venue(venue)


def kind_rules(venue: Venue) -> list[KindRule]:
    return [as_kind_rule(rule) for rule in rules_of(venue)]


def as_kind_rule(rule: BookingRule) -> KindRule:
    return KindRule(
        rule.words, rule.where, rule.what, tuple(rule.leaves_accessible),
        rule.half_days_before, rule.half_days_after,
    )  # fmt: skip


def held_of(source: CalendarSource) -> list[Held]:
    """Every booking of a calendar, cancelled ones too."""
    rows = Booking.with_cancelled.filter(source=source)
    return [as_held(row) for row in rows]


def as_held(row: Booking) -> Held:
    booking = Wanted(
        uid=row.uid, original=row.original, piece=row.piece, what=row.what, title=row.title,
        starts=row.starts, ends=row.ends, all_day=row.all_day,
        leaves=tuple(row.leaves_accessible), location=row.location, categories=row.categories,
    )  # fmt: skip
    return Held(row.pk, booking, row.state == Booking.State.CANCELLED, row.set_by_hand)


@dataclass(frozen=True)
class CalendarRow:
    source: CalendarSource
    ahead: int
    unknown: int


def calendars_of(venue: Venue, person: Person, at: datetime) -> list[CalendarRow]:
    """Each running calendar with its bookings ahead."""
    ahead = Q(bookings__ends__gte=at, bookings__state=Booking.State.STANDS)
    rows = CalendarSource.objects.visible_to(person).in_venue(venue).filter(ended_on=None)
    rows = rows.annotate(
        ahead=Count("bookings", filter=ahead),
        unknown=Count("bookings", filter=ahead & Q(bookings__what=UNKNOWN)),
    )
    return [CalendarRow(row, row.ahead, row.unknown) for row in rows]


def ahead_from_calendars(venue: Venue, at: datetime) -> QuerySet[Booking]:
    """Standing bookings of calendars that are not past, without what rules add around them."""
    rows = Booking.objects.in_venue(venue).filter(source__isnull=False, piece=ITSELF)
    return rows.filter(ends__gte=at)


@dataclass(frozen=True)
class Tried:
    """What a rule would do to the bookings ahead."""

    matches: list[Booking]
    earlier: list[Booking]  # found too, but a rule before it counts
    by_hand: int


def try_rule(venue: Venue, rule: KindRule, before: Iterable[KindRule], at: datetime) -> Tried:
    first, matches, earlier, by_hand = list(before), [], [], 0
    for row in ahead_from_calendars(venue, at):
        if not _finds(rule, row):
            continue
        if row.set_by_hand:
            by_hand += 1
        elif any(_finds(one, row) for one in first):
            earlier.append(row)
        else:
            matches.append(row)
    return Tried(matches, earlier, by_hand)


def _finds(rule: KindRule, row: Booking) -> bool:
    return rule.finds(row.title, row.categories, row.location)


@dataclass
class UnknownGroup:
    """Bookings of one title that nobody has said what they are."""

    title: str
    bookings: list[Booking] = field(default_factory=list)

    @property
    def key(self) -> str:
        return plain(self.title)

    @property
    def first(self) -> Booking:
        return self.bookings[0]

    @property
    def locations(self) -> list[str]:
        return sorted({one.location for one in self.bookings if one.location})

    @property
    def categories(self) -> list[str]:
        return sorted({one.categories for one in self.bookings if one.categories})


def unknown_groups(venue: Venue, person: Person, at: datetime) -> list[UnknownGroup]:
    """The most frequent first."""
    rows = Booking.objects.visible_to(person).in_venue(venue).filter(ends__gte=at, what=UNKNOWN)
    groups: dict[str, UnknownGroup] = {}
    for row in rows:
        groups.setdefault(plain(row.title), UnknownGroup(row.title)).bookings.append(row)
    return sorted(groups.values(), key=lambda one: (-len(one.bookings), one.key))


def unknown_group(venue: Venue, person: Person, key: str, at: datetime) -> UnknownGroup | None:
    groups = unknown_groups(venue, person, at)
    return next((one for one in groups if one.key == plain(key)), None)


@dataclass(frozen=True)
class KindAhead:
    """One kind of booking ahead: how many, what they are called, what they leave accessible now."""

    what: str
    words: str
    count: int
    titles: list[str]
    more: bool  # there are more titles than these
    leaves: list[str]
    differ: bool  # the rules of this kind leave different things


def kinds_ahead(venue: Venue, person: Person, at: datetime) -> list[KindAhead]:
    """The kinds that calendars bring, the most frequent first; what is not yet known is not one."""
    rows = Booking.objects.visible_to(person).in_venue(venue).filter(ends__gte=at)
    titles: dict[str, list[str]] = {}
    for row in rows.exclude(what=UNKNOWN).order_by("starts"):
        titles.setdefault(row.what, []).append(row.title)
    said: dict[str, list[list[str]]] = {}
    for rule in rules_of(venue):
        said.setdefault(rule.what, []).append(sorted(rule.leaves_accessible))
    words = dict(Booking.What.choices)
    found = [
        KindAhead(
            what, words[what], len(those), list(dict.fromkeys(those))[:4],
            len(set(those)) > 4, said[what][0],
            any(one != said[what][0] for one in said[what]),
        )
        for what, those in titles.items() if what in said
    ]  # fmt: skip
    return sorted(found, key=lambda one: (-one.count, one.words))
