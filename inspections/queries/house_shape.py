"""The planner's plans, its zones and its order of work, from the rows of a venue."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from inspections.calendar_rules import read_interval
from inspections.models import Plan as Row
from inspections.models import PlanningSettings
from inspections.planning.house import DueDay, Plan, ZoneUse
from inspections.queries.calendar_access import states_in_words
from inspections.queries.plan_starts import Start, early_days
from inspections.queries.planning_people import Span
from inspections.queries.planning_settings import coins
from inspections.queries.work_of_plans import Needed
from inspections.work_files import work_needs
from venue.models import Place, Venue


@dataclass(frozen=True)
class Shafts:
    """The tops of the tree of places: below one top, places lie above each other."""

    top: dict[int, str]
    level: dict[int, int]

    def use(self, place_id: int) -> ZoneUse:
        return self.top[place_id], f"at height {self.level[place_id]}"


def shafts_of(venue: Venue) -> Shafts:
    places = {place.pk: place for place in Place.objects.filter(venue=venue)}
    return Shafts(
        {pk: _top(place, places) for pk, place in places.items()},
        {pk: place.level for pk, place in places.items()},
    )


def _top(place: Place, places: Mapping[int, Place]) -> str:
    seen = {place.pk}
    while place.parent_id and place.parent_id not in seen:
        place = places[place.parent_id]
        seen.add(place.pk)
    return f"{place.name} ({place.pk})"


def pure_plan(
    key: str, start: Start, needed: Needed, settings: PlanningSettings, shafts: Shafts, span: Span
) -> Plan:
    """One plan as the planner knows it."""
    row, work = start.plan, needed.work
    return Plan(
        key=key,
        kind=kind_of(row),
        interval=read_interval(row.interval),
        due_days=tuple(DueDay(*map(span.number, days)) for days in start.due_days),
        slack=read_interval(row.lawful_slack),
        early_days=early_days(row),
        early_price=coins(settings.early_price),
        price=coins(settings.hour_price) * needed.all_quarters // 4,
        duration=work.half_days,
        needs=needed.needs,
        examiner=work.examiner,
        examiner_quarters=needed.examiner_quarters,
        access=states_in_words(needed.access),
        zones=frozenset([shafts.use(row.equipment.place_id)] if work.in_zone else []),
        set_ups=frozenset(needed.set_ups),
        **_first(start, span),
    )


def _first(start: Start, span: Span) -> dict[str, int]:
    """Plans that count from a fixed day have their due days instead."""
    if start.plan.counting == Row.Counting.ANCHORED:
        return {}
    return {
        "first_due": span.number(start.due), "first_lawful": span.number(start.last_lawful),
    }  # fmt: skip


def kind_of(row: Row) -> str:
    """Plans of one kind are told of together; two regimes may share a title."""
    return f"{row.version.title} ({row.regime})"


def clashes_of(plans: tuple[Plan, ...]) -> frozenset[frozenset[ZoneUse]]:
    """Below one top, two heights are never worked at in one half-day: no one is above another."""
    uses = sorted({use for plan in plans for use in plan.zones})
    return frozenset(
        frozenset((one, other))
        for one, other in combinations(uses, 2)
        if one[0] == other[0] and one != other
    )


def order_of(starts: Mapping[str, Start]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted(set(_pairs(starts))))


def _pairs(starts: Mapping[str, Start]) -> Iterator[tuple[str, str]]:
    kinds: dict[str, set[str]] = {}
    for start in starts.values():
        kinds.setdefault(start.plan.regime, set()).add(kind_of(start.plan))
    for first, then in work_needs().order:
        for one in kinds.get(first, ()):
            for other in kinds.get(then, ()):
                yield one, other
