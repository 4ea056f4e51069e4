"""What records tell of how long checks took, whether a manager keeps the estimate, and how much one
person can do in a half-day: all that a learned figure rests on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from fractions import Fraction

from django.db.models import OuterRef, Subquery
from django.db.models.fields.json import KT

from inspections.learned_hours import Learned, Room, Took, learned_from
from inspections.models import Draft, HoursChoice, Plan, Record
from inspections.queries.planning_settings import people_who_work, weeks_of
from inspections.work_shapes import Work
from venue.kind_files import kinds
from venue.models import Competence, Venue
from venue.queries.people import LEVELS

LOOK_BACK = timedelta(days=3 * 365)
Kind = tuple[str, str]
"""A kind of check: the regime, and the family of what is looked at."""


@dataclass(frozen=True)
class HoursKnown:
    took: Mapping[Kind, list[Took]]
    estimate_kept: frozenset[Kind]
    rooms: Mapping[str, Room]  # by level
    _learned: dict[tuple[Kind, Work], Learned] = field(default_factory=dict, compare=False)

    def learned(self, kind: Kind, estimate: Work) -> Learned:
        """Reckoned once for all plans of a kind."""
        if (kind, estimate) not in self._learned:
            self._learned[kind, estimate] = learned_from(estimate, self.took.get(kind, ()))
        return self._learned[kind, estimate]


def hours_known(venue: Venue, plans: Iterable[Plan], now: datetime) -> HoursKnown:
    """Of the kinds of check of these plans, in the last three years."""
    today = now.astimezone(venue.zone).date()
    rows = HoursChoice.objects.filter(venue=venue, keep_estimate=True)
    kept = frozenset(rows.values_list("regime", "family"))
    return HoursKnown(_took(venue, plans, now), kept, _rooms(venue, today))


def kind_of_check(regime: str, kind: str) -> Kind:
    known = kinds().get(kind)
    return regime, known.family if known else ""


def _took(venue: Venue, plans: Iterable[Plan], now: datetime) -> dict[Kind, list[Took]]:
    """A record that amends another tells of no second time. What waited on a phone was finished
    when it was saved there, by the clock by which it was begun."""
    saved = Draft.objects.filter(pk=OuterRef("pk")).values_list(KT("phone__saved_at"))[:1]
    rows = Record.objects.filter(
        venue=venue, at__gte=now - LOOK_BACK, amends__isnull=True,
        version__slug__in={plan.regime for plan in plans},
    ).values_list(
        "version__slug", "equipment__kind", "hours_worked", "people_worked", "started_at", "at",
        Subquery(saved),
    )  # fmt: skip
    found = defaultdict[Kind, list[Took]](list)
    for regime, kind, hours, people, began, stored, saved_at in rows.order_by("at", "pk"):
        ended = datetime.fromisoformat(saved_at) if saved_at else stored
        took = Took(hours, people, _open_hours(began, ended, venue.zone))
        found[kind_of_check(regime, kind)].append(took)
    return found


def _open_hours(began: datetime, ended: datetime, zone: tzinfo) -> Fraction | None:
    if began.astimezone(zone).date() != ended.astimezone(zone).date():
        return None
    return Fraction(int((ended - began).total_seconds()), 3600)


def _rooms(venue: Venue, today: date) -> dict[str, Room]:
    """By level the most that one person can do in a half-day, of those who may do its work."""
    highest = defaultdict[int, int](lambda: -1)
    for row in Competence.objects.filter(venue=venue):
        if row.expires_on is None or row.expires_on >= today:
            highest[row.person_id] = max(highest[row.person_id], LEVELS.index(row.level))
    found: dict[str, Room] = {}
    weeks = [week for week, _ in weeks_of(venue, people_who_work(venue)) if week.half_days]
    for week in weeks:
        room = Room(week.hours, week.hours + week.overtime_hours)
        for level in LEVELS[: highest[week.person_id] + 1]:
            found[level] = max(found.get(level, room), room, key=lambda each: each.most)
    return found
