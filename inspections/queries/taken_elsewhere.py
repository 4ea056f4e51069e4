"""Half-days on which people who work in another venue too are not to be had here.

What that venue is and what they do there is its own business: only that a half-day is taken is known
here, and no page says more than that somebody has work at another venue.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from django.db.models import Q, QuerySet

from inspections.board_grid import HALVES
from inspections.models import Absence, PlannedPerson, Task, YearPlan
from inspections.queries.plans_in_force import plans_in_force
from venue.models import Membership, Person, Venue

if TYPE_CHECKING:
    from inspections.queries.planning_people import Span

LONGEST = timedelta(days=31)  # before the span, a long task that reaches into it may begin
Begins = tuple[int, date, str, int]
"""A person, and the day, the half and the number of half-days of something they do."""


@dataclass(frozen=True)
class Taken:
    """Half-days of the span: with work at another venue, and away as that venue knows."""

    work: frozenset[int] = frozenset()
    away: frozenset[int] = frozenset()

    @property
    def slots(self) -> frozenset[int]:
        return self.work | self.away


def taken_elsewhere(venue: Venue, people: Iterable[Person], span: Span) -> dict[int, Taken]:
    """By the number of each person who works in another venue too. One query where nobody does."""
    others = Membership.objects.filter(person__in=list(people), ended_on__isnull=True)
    rows = list(others.exclude(venue=venue).select_related("venue"))
    shared = {row.person_id for row in rows}
    if not shared:
        return {}
    venues = {row.venue_id: row.venue for row in rows}
    work = _slots([*_dated(venues, shared, span), *_undated(venues.values(), shared, span)], span)
    away = _slots(_absences(venues, shared, span), span)
    return {person: Taken(work[person], away[person]) for person in sorted(shared)}


def _dated(venues: Iterable[int], shared: set[int], span: Span) -> Iterator[Begins]:
    """Open tasks that a published plan or a person has given a half-day, whoever leads and whoever
    helps. A day alone takes no half of it."""
    rows = Task.objects.filter(
        Q(day_from=None) | Q(day_from__state=YearPlan.State.PUBLISHED),
        venue__in=list(venues), state=Task.State.OPEN, day_agreed=True,
        planned_on__gte=span.first_day - LONGEST, planned_on__lte=span.last_day,
    ).exclude(half="")  # fmt: skip
    when = ("planned_on", "half", "half_days")
    yield from _told(rows.filter(person__in=shared), "person_id", when)
    helped = Task.helpers.through.objects.filter(task__in=rows, person__in=shared)
    yield from _told(helped, "person_id", tuple(f"task__{name}" for name in when))


def _undated(venues: Iterable[Venue], shared: set[int], span: Span) -> Iterator[Begins]:
    """What the plans in force there have beyond the dated tasks."""
    days = Q(pk__in=())
    for each in (run for venue in venues for run in plans_in_force(venue)):
        first, last = max(each.first, span.first_day - LONGEST), min(each.last, span.last_day)
        days |= Q(planned__year_plan=each.plan, planned__day__gte=first, planned__day__lte=last)
    rows = PlannedPerson.objects.filter(days, planned__task=None, person__in=shared)
    yield from _told(
        rows.order_by("pk"), "person_id", ("planned__day", "planned__half", "planned__half_days")
    )


def _absences(venues: Iterable[int], shared: set[int], span: Span) -> Iterator[Begins]:
    rows = Absence.objects.filter(
        venue__in=list(venues), person__in=shared, last_day__gte=span.first_day,
        first_day__lte=span.last_day,
    )  # fmt: skip
    for row in rows:
        yield row.person_id, row.first_day, HALVES[0], 2 * ((row.last_day - row.first_day).days + 1)


def _told(rows: QuerySet, person: str, when: tuple[str, ...]) -> Iterator[Begins]:
    yield from rows.values_list(person, *when)


def _slots(begins: Iterable[Begins], span: Span) -> dict[int, frozenset[int]]:
    """By person, the half-days of the span."""
    found: dict[int, set[int]] = defaultdict(set)
    for person, day, half, half_days in begins:
        slot = 2 * span.number(day) + HALVES.index(half)
        found[person] |= set(range(max(0, slot), min(2 * span.days, slot + half_days)))
    return defaultdict(frozenset, {person: frozenset(slots) for person, slots in found.items()})
