"""What a plan must be late whatever else is planned, and late plans laid anew in a plan. Pure.

Without any other task nothing is in a plan's way, so the fewest late days of its own chain in the
empty house are the fewest in any plan, and those of several plans add up.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group
from inspections.planning.house import House, Plan, Task
from inspections.planning.load import Load
from inspections.planning.whole_chain import LATE_DAY, can_be_chained, cheapest_chain


def late_alone(
    house: House, groups: Sequence[Group], capacity: Capacity, keys: Iterable[str]
) -> dict[str, int]:
    """The late days that each of these plans has at least; long and anchored ones are left out."""
    empty = Load(house, capacity)
    found = {
        plan.key: cheapest_chain(empty, group, plan).cost // LATE_DAY
        for group, plan in _chained(groups, set(keys))
    }
    return {key: days for key, days in found.items() if days}


def late_laid_anew(
    house: House,
    groups: Sequence[Group],
    capacity: Capacity,
    tasks: Iterable[Task],
    keys: Iterable[str],
) -> list[Task]:
    """The tasks of these plans laid as little late as the others leave room for."""
    held = {task.plan for task in house.locked}
    anew = _chained(groups, {key for key in keys if key not in held})
    moving = {plan.key for _, plan in anew}
    found = [task for task in tasks if task.plan not in moving]
    load = Load(house, capacity)
    group_of = {plan.key: group for group in groups for plan in group.members}
    for task in found:
        load.put(group_of[task.plan], task.slot)
    for group, plan in anew:
        for slot in cheapest_chain(load, group, plan).slots:
            load.put(group, slot)
            found.append(Task(plan.key, slot))
    return sorted(found)


def _chained(groups: Sequence[Group], keys: set[str]) -> list[tuple[Group, Plan]]:
    return [
        (group, plan)
        for group in groups
        if can_be_chained(group)
        for plan in group.members
        if plan.key in keys
    ]
