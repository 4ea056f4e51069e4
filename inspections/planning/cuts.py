"""Bounds from parts of the house, solved alone. Needs OR-Tools.

Plans that share an examiner or a set-up form a part. Leaving everything else out can only make a
part cheaper, so the least it can cost alone is a bound in the whole year too; the sum of all
parts bounds the whole far better than the solver finds by itself.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group
from inspections.planning.house import House
from inspections.planning.model import Tag, Terms, YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import Options
from inspections.planning.solver import NO_BOUND, minimise


@dataclass(frozen=True)
class Cut:
    """Costs of these tags together are at least so much."""

    tags: frozenset[Tag]
    least: int


def parts_of(groups: Sequence[Group]) -> list[list[Group]]:
    """Groups that hang together by examiners and set-ups."""
    parts: list[tuple[set[Tag], list[Group]]] = []
    for group in groups:
        tags, members = set(tags_of(group)), [group]
        apart = []
        for other_tags, others in parts:
            if tags & other_tags:
                tags |= other_tags
                members = others + members
            else:
                apart.append((other_tags, others))
        parts = [*apart, (tags, members)]
    return [members for _, members in parts]


def tags_of(group: Group) -> frozenset[Tag]:
    """The shared resources of a group, as its costs are named."""
    shared: set[Tag] = {("set-up", key) for key in group.pattern.set_ups}
    if group.pattern.examiner:
        shared.add(("examiner", group.pattern.examiner))
    return frozenset(shared)


def find_cuts(
    house: House,
    groups: Sequence[Group],
    capacity: Capacity,
    late: int,
    seconds: float,
    options: Options,
) -> list[Cut]:
    """One cut for each resource alone and one for each part, within the time."""
    asked: list[tuple[list[Group], frozenset[Tag]]] = []
    users: dict[Tag, list[Group]] = defaultdict(list)
    for group in groups:
        for tag in tags_of(group):
            users[tag].append(group)
    parts = parts_of(groups)
    for part in parts:
        shared = frozenset(tag for group in part for tag in tags_of(group))
        asked.append((part, shared | {("group", str(group.number)) for group in part}))
    asked += [(some, frozenset({tag})) for tag, some in sorted(users.items()) if some not in parts]
    each = seconds / max(1, len(asked))
    found = (_cut(house, some, capacity, late, tags, each, options) for some, tags in asked)
    return [cut for cut in found if cut]


def _cut(
    house: House,
    groups: list[Group],
    capacity: Capacity,
    late: int,
    tags: frozenset[Tag],
    seconds: float,
    options: Options,
) -> Cut | None:
    year = add_resources(YearModel(house, groups, capacity))
    year.cp.add(year.late.expression() <= late)
    aim = sum_of(year, tags)
    if not aim.vars:
        return None
    solved = minimise(year, aim, seconds, options, for_bound=True)
    return Cut(tags, solved.bound) if solved.bound > NO_BOUND else None


def sum_of(year: YearModel, tags: frozenset[Tag]) -> Terms:
    """The costs of some tags in one sum."""
    whole = Terms()
    for tag in sorted(tags):
        whole.take(year.cost[tag])
    return whole


def add_cuts(year: YearModel, cuts: Sequence[Cut]) -> None:
    """Tell the model what its parts cost at least."""
    for cut in cuts:
        year.cp.add(sum_of(year, cut.tags).expression() >= cut.least)
