"""What can be counted against a visit or a set-up: tasks, an examiner's hours, people's hours."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from inspections.planning.groups import Group
from inspections.planning.model import Tag, YearModel
from inspections.planning.model_strength import (
    quarters_asked,
    resources_of,
    unit_of,
    whole_tasks,
)
from inspections.planning.window_needs import Counts, Values

NO_LIMIT = 10**9


class ByUnit:
    """For each unit some variables of its own, and what each counts."""

    def __init__(self, units: Sequence[Sequence[tuple[int, int]]]) -> None:
        self.unit = np.array([n for n, some in enumerate(units) for _ in some], dtype=np.int64)
        self.vars = np.array([var for some in units for var, _ in some], dtype=np.int64)
        self.weights = np.array([w for some in units for _, w in some], dtype=np.float64)
        self.units = len(units)

    def sums(self, values: Values) -> Values:
        """What the variables of each unit count together."""
        counted = self.weights * values[self.vars]
        return np.asarray(np.bincount(self.unit, counted, self.units))

    def within(self, first: int, chosen: NDArray[np.bool_]) -> tuple[Counts, Values]:
        """The variables of chosen units, told from the first one on, and their weights."""
        begin, end = np.searchsorted(self.unit, [first, first + len(chosen)])
        own = chosen[self.unit[begin:end] - first]
        return self.vars[begin:end][own], self.weights[begin:end][own]


@dataclass(frozen=True)
class SharedWork:
    """Work of some groups, by the units (days or half-days) of what they share."""

    weights: dict[int, int]
    """For each group what one of its tasks counts."""
    most: int
    """The most that any one unit can hold."""
    price: int
    days: Counts
    made: Counts
    """For each unit its day, the variable that says it is made, and its tasks' work."""
    tasks: ByUnit
    holds: Counts
    """The most that each unit can hold, beside what overtime adds."""
    extra: ByUnit
    """For each unit the overtime, each quarter-hour worth one."""
    lots: bool


def shared_work(year: YearModel) -> list[SharedWork]:
    """Every sort of shared work of a year's model that costs money."""
    users: dict[Tag, list[Group]] = defaultdict(list)
    for group in year.groups:
        for tag in resources_of(group.pattern):
            if year.made[tag] and year.cost[tag].weights:
                users[tag].append(group)
    return [work for tag, some in sorted(users.items()) for work in _sorts(year, tag, some)]


def _sorts(year: YearModel, tag: Tag, users: list[Group]) -> Iterator[SharedWork]:
    for group in users:
        yield _work(year, tag, {group.number: 1}, _tasks_held(year, tag, group), lots=True)
    some = [*combinations(users, 2), *([tuple(users)] if len(users) > 2 else [])]
    for groups in some:
        yield _work(year, tag, {group.number: 1 for group in groups}, {}, lots=True)
    if tag[0] == "examiner":
        weights = {g.number: g.pattern.examiner_quarters for g in users}
        a_day = year.house.examiners[tag[1]].quarters_a_day
        yield _work(year, tag, weights, dict.fromkeys(year.made[tag], a_day), lots=False)
    for competences in sorted(_competences(year), key=sorted):
        yield from _hours(year, tag, users, competences)


def _hours(
    year: YearModel, tag: Tag, users: list[Group], competences: frozenset[str]
) -> Iterator[SharedWork]:
    """People's hours, overtime among them or beside them, and the whole tasks that fit in them."""
    quarters = [quarters_asked(group.pattern, competences) for group in users]
    weights = {group.number: asked for group, asked in zip(users, quarters, strict=True)}
    ordinary, most = _hours_of(year, competences)
    yield _work(year, tag, weights, _held(year, tag, most), lots=False)
    yield _work(year, tag, weights, _held(year, tag, ordinary), lots=False, overtime=True)
    longest = max(ordinary.values(), default=0)
    for some, whole in whole_tasks(quarters, longest):
        weights = {group.number: weight for group, weight in zip(users, some, strict=True)}
        fits = {slot: whole for slot, hours in ordinary.items() if hours}
        yield _work(year, tag, weights, _held(year, tag, fits), lots=False, overtime=True)


def _work(
    year: YearModel,
    tag: Tag,
    weights: dict[int, int],
    holds: dict[int, int],
    *,
    lots: bool,
    overtime: bool = False,
) -> SharedWork:
    weights = {number: weight for number, weight in weights.items() if weight}
    last = {group.number: group.pattern.duration - 1 for group in year.groups}
    tasks: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for (number, begin), var in year.begun.items():
        if number in weights:
            unit = unit_of(year, tag, begin + last[number])
            tasks[unit].append((var.index, weights[number]))
    extra: dict[int, list[int]] = defaultdict(list)
    for slot, var in year.overtime.items() if overtime else ():
        extra[unit_of(year, tag, slot)].append(var.index)
    units = sorted(year.made[tag])
    by_half_day = unit_of(year, tag, 1) == 1
    held = [holds.get(unit, 0) if holds else NO_LIMIT for unit in units]
    return SharedWork(
        weights,
        max(1, *held),
        max(year.cost[tag].weights),
        np.array([unit // 2 if by_half_day else unit for unit in units], dtype=np.int64),
        np.array([year.made[tag][unit].index for unit in units], dtype=np.int64),
        ByUnit([tasks[unit] for unit in units]),
        np.array(held, dtype=np.int64),
        ByUnit([[(var, 1) for var in extra[unit]] for unit in units]),
        lots,
    )


def _tasks_held(year: YearModel, tag: Tag, group: Group) -> dict[int, int]:
    """The most of one group that each unit holds."""
    held: dict[int, int] = defaultdict(int)
    for (number, begin), most in year.most.items():
        if number == group.number:
            held[unit_of(year, tag, begin + group.pattern.duration - 1)] += most
    whole = group.size
    if tag[0] == "examiner" and group.pattern.examiner_quarters:
        quarters = year.house.examiners[tag[1]].quarters_a_day
        whole = min(whole, quarters // group.pattern.examiner_quarters)
    return {unit: min(most, whole) for unit, most in held.items()}


def _competences(year: YearModel) -> set[frozenset[str]]:
    return {
        limit.competences
        for slot in range(year.house.slots)
        for limit in year.capacity.limits(slot)
    }


def _hours_of(
    year: YearModel, competences: frozenset[str]
) -> tuple[dict[int, int], dict[int, int]]:
    """For each half-day with work the hours of these people: ordinary, and overtime counted."""
    ordinary, most = {}, {}
    for slot in year.at_work():
        limits = [one for one in year.capacity.limits(slot) if competences <= one.competences]
        ordinary[slot] = min((one.ordinary for one in limits), default=NO_LIMIT)
        most[slot] = min((one.most for one in limits), default=NO_LIMIT)
    return ordinary, most


def _held(year: YearModel, tag: Tag, hours: dict[int, int]) -> dict[int, int]:
    """What half-days hold, by the units of a resource."""
    held: dict[int, int] = defaultdict(int)
    for slot, most in hours.items():
        held[unit_of(year, tag, slot)] = min(NO_LIMIT, held[unit_of(year, tag, slot)] + most)
    return held
