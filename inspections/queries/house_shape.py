"""The planner's plans, its zones and its order of work, from the rows of a venue."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from inspections.calendar_rules import read_interval
from inspections.models import Plan as Row
from inspections.models import PlanningSettings
from inspections.move_check import named
from inspections.planning.house import DueDay, Plan, ZoneUse
from inspections.queries.calendar_access import states_in_words
from inspections.queries.plan_starts import Start, early_days
from inspections.queries.planning_people import Span
from inspections.queries.planning_settings import coins
from inspections.queries.work_of_plans import Needed
from inspections.work_files import work_needs
from venue.models import Place, Venue

NOBODY_SAID = "places of which nobody has said what they are part of"


@dataclass(frozen=True)
class Shafts:
    """The tops of the tree of places: below one top, places lie above each other. Where that is not
    said, every place counts as above or below the others."""

    top: dict[int, str]
    level: dict[int, int]
    own: dict[int, str]  # each place for itself
    alone: frozenset[int]  # part of no other place, and holding none
    level_unsaid: frozenset[int]  # in a tree of which nobody has given a height

    def use(self, place_id: int) -> ZoneUse:
        if place_id in self.alone:
            return NOBODY_SAID, self.own[place_id]
        if place_id in self.level_unsaid:
            return self.top[place_id], self.own[place_id]
        return self.top[place_id], f"at height {self.level[place_id]}"


def shafts_of(venue: Venue) -> Shafts:
    places = {place.pk: place for place in Place.objects.filter(venue=venue)}
    top = {pk: _top(place, places) for pk, place in places.items()}
    trees: dict[str, list[Place]] = {}
    for pk, place in places.items():
        trees.setdefault(top[pk], []).append(place)
    flat = [tree for tree in trees.values() if not any(place.level for place in tree)]
    return Shafts(
        top,
        {pk: place.level for pk, place in places.items()},
        {pk: f"{place.name} ({pk})" for pk, place in places.items()},
        frozenset(tree[0].pk for tree in trees.values() if len(tree) == 1 and len(trees) > 1),
        frozenset(place.pk for tree in flat if len(tree) > 1 for place in tree),
    )


def _top(place: Place, places: Mapping[int, Place]) -> str:
    seen = {place.pk}
    while place.parent_id and place.parent_id not in seen:
        place = places[place.parent_id]
        seen.add(place.pk)
    return f"{place.name} ({place.pk})"


def heights_unsaid(
    shafts: Shafts, starts: Mapping[str, Start], needed: Mapping[str, Needed]
) -> Iterator[str]:
    """Which places with work are kept apart only because nobody has said what lies above what."""
    found = {
        row.plan.equipment.place_id: row.plan.equipment.place
        for key, row in starts.items()
        if needed[key].work.in_zone
    }
    if len(found) < 2:
        return
    if alone := sorted(place.name for pk, place in found.items() if pk in shafts.alone):
        yield (
            f"What lies above what is not said for: {named(alone)}. Nobody is planned there while "
            "somebody is planned in another place. Say under House, Places what each is part of, "
            "and its height order."
        )
    tops = Counter(shafts.top[pk] for pk in found if pk in shafts.level_unsaid)
    if flat := sorted(place.name for pk, place in found.items() if tops[shafts.top[pk]] > 1):
        yield (
            f"No height order is given for: {named(flat)}. No two of them that are part of the "
            "same place are worked in at once. Give each its height order; what lies on one floor "
            "has the same one, and not 0."
        )


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
    """Below one top, two heights are never worked at in one half-day: no one is above another. What
    stands alone may lie above or below anything."""
    uses = sorted({use for plan in plans for use in plan.zones})
    return frozenset(
        frozenset((one, other))
        for one, other in combinations(uses, 2)
        if one[0] == other[0] or NOBODY_SAID in (one[0], other[0])
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
