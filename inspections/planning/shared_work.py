"""What can be counted against a visit or a set-up: tasks, an examiner's hours, people's hours."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from inspections.planning.groups import Group
from inspections.planning.model import Tag, YearModel
from inspections.planning.model_strength import quarters_asked, resources_of, unit_of
from inspections.planning.window_needs import Counts

NO_LIMIT = 10**9


@dataclass(frozen=True)
class SharedWork:
    """Work of some groups, by the units (days or half-days) of what they share."""

    weights: dict[int, int]
    """For each group what one of its tasks counts."""
    most: int
    """The most that one unit can hold."""
    price: int
    days: Counts
    made: list[int]
    """For each unit its day, the variable that says it is made, and its tasks' (variable, work)."""
    tasks: list[list[tuple[int, int]]]
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
        yield _work(year, tag, {group.number: 1}, _most_tasks(year, tag, group), lots=True)
    some = [*combinations(users, 2), *([tuple(users)] if len(users) > 2 else [])]
    for groups in some:
        yield _work(year, tag, {group.number: 1 for group in groups}, NO_LIMIT, lots=True)
    if tag[0] == "examiner":
        weights = {g.number: g.pattern.examiner_quarters for g in users}
        yield _work(year, tag, weights, year.house.examiners[tag[1]].quarters_a_day, lots=False)
    for competences in sorted(_competences(year), key=sorted):
        weights = {group.number: quarters_asked(group.pattern, competences) for group in users}
        yield _work(year, tag, weights, _most_hours(year, tag, competences), lots=False)


def _work(
    year: YearModel, tag: Tag, weights: dict[int, int], most: int, *, lots: bool
) -> SharedWork:
    weights = {number: weight for number, weight in weights.items() if weight}
    last = {group.number: group.pattern.duration - 1 for group in year.groups}
    tasks: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for (number, begin), var in year.begun.items():
        if number in weights:
            unit = unit_of(year, tag, begin + last[number])
            tasks[unit].append((var.index, weights[number]))
    units = sorted(year.made[tag])
    by_half_day = unit_of(year, tag, 1) == 1
    return SharedWork(
        weights,
        max(1, most),
        max(year.cost[tag].weights),
        np.array([unit // 2 if by_half_day else unit for unit in units], dtype=np.int64),
        [year.made[tag][unit].index for unit in units],
        [tasks[unit] for unit in units],
        lots,
    )


def _most_tasks(year: YearModel, tag: Tag, group: Group) -> int:
    """The most of one group that one unit holds."""
    held: dict[int, int] = defaultdict(int)
    for (number, begin), most in year.most.items():
        if number == group.number:
            held[unit_of(year, tag, begin + group.pattern.duration - 1)] += most
    most = max(held.values(), default=1)
    if tag[0] == "examiner" and group.pattern.examiner_quarters:
        quarters = year.house.examiners[tag[1]].quarters_a_day
        most = min(most, quarters // group.pattern.examiner_quarters)
    return most


def _competences(year: YearModel) -> set[frozenset[str]]:
    return {
        limit.competences
        for slot in range(year.house.slots)
        for limit in year.capacity.limits(slot)
    }


def _most_hours(year: YearModel, tag: Tag, competences: frozenset[str]) -> int:
    """The most hours of these people in any unit, overtime counted."""
    held: dict[int, int] = defaultdict(int)
    for slot in range(year.house.slots):
        limits = year.capacity.limits(slot)
        held[unit_of(year, tag, slot)] += min(
            (limit.most for limit in limits if competences <= limit.competences), default=NO_LIMIT
        )
    return max(held.values(), default=NO_LIMIT)
