"""A house and a plan in the making as arrays of whole numbers. Needs numpy.

Lists of different lengths lie behind each other in one array; where each begins is in another,
one longer: what belongs to n is `of[start[n]:start[n + 1]]`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from inspections.planning.capacity import Capacity, Limit
from inspections.planning.groups import Group
from inspections.planning.house import PER_DAY, House, Task, day_of

Numbers = npt.NDArray[np.int64]
Random = npt.NDArray[np.uint64]
NONE = -1


class Facts(NamedTuple):
    """What does not change. One line for each plan, group, half-day and so on, in their order."""

    days: int
    overtime_price: int
    # By plan.
    group_of: Numbers
    first_due: Numbers
    first_lawful: Numbers
    due_start: Numbers
    opens: Numbers
    dues: Numbers
    last_lawful: Numbers
    # By group; due and lawful by group and day.
    slot_start: Numbers
    slots: Numbers
    due: Numbers
    lawful: Numbers
    anchored: Numbers
    early_days: Numbers
    early_price: Numbers
    price: Numbers
    rate: Numbers
    duration: Numbers
    kind: Numbers
    examiner: Numbers
    examiner_quarters: Numbers
    set_up_start: Numbers
    set_up_of: Numbers
    zone_start: Numbers
    zone_of: Numbers
    # By examiner, set-up, use of a zone, kind.
    fee: Numbers
    a_day: Numbers
    set_up_price: Numbers
    by_day: Numbers
    against_start: Numbers
    against_of: Numbers
    after_start: Numbers
    after_of: Numbers
    before_start: Numbers
    before_of: Numbers
    # By half-day: its sort; by sort and limit; by group, sort and limit.
    sort: Numbers
    limits: Numbers
    ordinary: Numbers
    most: Numbers
    asked: Numbers


class State(NamedTuple):
    """The plan in hand, and what its half-days hold."""

    begun: Numbers
    """By plan, in order: the half-days in which its tasks begin."""
    counts: Numbers
    fixed: npt.NDArray[np.bool_]
    """By plan and half-day: agreed or locked."""
    held: Numbers
    """By plan: whether any of it is fixed."""
    at_plan: Numbers
    """By day: the tasks that begin there, in any order."""
    at_slot: Numbers
    at_count: Numbers
    sums: Numbers
    """By half-day and limit: quarter-hours of people."""
    examined: Numbers
    made: Numbers
    zones: Numbers
    kinds: Numbers
    changes: Numbers
    """By day: how often something was put there or taken out, and one."""
    known: Numbers
    """By group and half-day: the price of one more, and at which change it was worked out."""
    known_at: Numbers
    random: Random


def _joined(lists: Iterable[Sequence[int]]) -> tuple[Numbers, Numbers]:
    """Where each list begins, and all of them behind each other."""
    every = [list(one) for one in lists]
    start = np.cumsum([0, *(len(one) for one in every)], dtype=np.int64)
    return start, np.array([n for one in every for n in one], dtype=np.int64)


def zeros(*shape: int) -> Numbers:
    return np.zeros(shape, dtype=np.int64)


def _line(numbers: Iterable[int]) -> Numbers:
    return np.array(list(numbers), dtype=np.int64)


def facts_of(house: House, groups: Sequence[Group], capacity: Capacity) -> Facts:
    """The house as the compiled functions read it; plans in the order of groups and members."""
    plans = [(number, plan) for number, group in enumerate(groups) for plan in group.members]
    patterns = [group.pattern for group in groups]
    examiners, set_ups = list(house.examiners.values()), list(house.set_ups.values())
    trade = {one.trade: n for n, one in enumerate(examiners)}
    set_up = {one.key: n for n, one in enumerate(set_ups)}
    zone = {use: n for n, use in enumerate(sorted({use for p in patterns for use in p.zones}))}
    kinds = sorted(
        {plan.kind for plan in patterns} | {kind for pair in house.order for kind in pair}
    )
    kind = {name: n for n, name in enumerate(kinds)}
    due_start, opens = _joined([due.opens for due in plan.due_days] for _, plan in plans)
    slot_start, slots = _joined(group.slots for group in groups)
    set_up_start, set_up_of = _joined([set_up[key] for key in sorted(p.set_ups)] for p in patterns)
    zone_start, zone_of = _joined([zone[use] for use in sorted(p.zones)] for p in patterns)
    against_start, against_of = _joined(_against(house, zone))
    after_start, after_of = _joined(
        [kind[then] for first, then in house.order if first == name] for name in kinds
    )
    before_start, before_of = _joined(
        [kind[first] for first, then in house.order if then == name] for name in kinds
    )
    return Facts(
        house.days,
        house.overtime_price,
        _line(number for number, _ in plans),
        _line(plan.first_due for _, plan in plans),
        _line(plan.first_lawful for _, plan in plans),
        due_start,
        opens,
        _line(due.due for _, plan in plans for due in plan.due_days),
        _line(due.last_lawful for _, plan in plans for due in plan.due_days),
        slot_start,
        slots,
        np.array([group.due for group in groups], dtype=np.int64).reshape(-1, house.days),
        np.array([group.lawful for group in groups], dtype=np.int64).reshape(-1, house.days),
        _line(group.anchored for group in groups),
        _line(plan.early_days for plan in patterns),
        _line(plan.early_price for plan in patterns),
        _line(plan.price for plan in patterns),
        _line(group.rate for group in groups),
        _line(plan.duration for plan in patterns),
        _line(kind[plan.kind] for plan in patterns),
        _line(trade.get(plan.examiner, NONE) for plan in patterns),
        _line(plan.examiner_quarters for plan in patterns),
        set_up_start,
        set_up_of,
        zone_start,
        zone_of,
        _line(one.day_fee for one in examiners),
        _line(one.quarters_a_day for one in examiners),
        _line(one.price for one in set_ups),
        _line(one.per == PER_DAY for one in set_ups),
        against_start,
        against_of,
        after_start,
        after_of,
        before_start,
        before_of,
        *_people(house, groups, capacity),
    )


def _against(house: House, zone: dict[tuple[str, str], int]) -> list[list[int]]:
    """For each use of a zone those that it clashes with, itself perhaps among them."""
    found: list[set[int]] = [set() for _ in zone]
    for clash in house.clashes:
        one, other = (*clash, *clash)[:2]
        if one in zone and other in zone:
            found[zone[one]].add(zone[other])
            found[zone[other]].add(zone[one])
    return [sorted(others) for others in found]


def _people(
    house: House, groups: Sequence[Group], capacity: Capacity
) -> tuple[Numbers, Numbers, Numbers, Numbers, Numbers]:
    """Half-days by sort, and for each sort its limits and what a task of each group asks."""
    sorts: dict[tuple[Limit, ...], int] = {}
    sort = _line(sorts.setdefault(capacity.limits(slot), len(sorts)) for slot in range(house.slots))
    longest = max((len(limits) for limits in sorts), default=0)

    def table(value: Callable[[Limit], int]) -> Numbers:
        rows = [[*map(value, limits), *[0] * (longest - len(limits))] for limits in sorts]
        return np.array(rows, dtype=np.int64).reshape(len(sorts), longest)

    asked = [
        table(
            lambda limit, group=group: sum(  # type: ignore[misc]
                need.quarters
                for need in group.pattern.needs
                if need.competence in limit.competences
            )
        )
        for group in groups
    ]
    return (
        sort,
        _line(map(len, sorts)),
        table(lambda limit: limit.ordinary),
        table(lambda limit: limit.most),
        np.array(asked, dtype=np.int64).reshape(len(groups), len(sorts), longest),
    )


MORE_TASKS, A_DAY = 2, 4
"""Room beyond the tasks that a plan and a day have at first: so many times as much."""


def empty_state(
    house: House, facts: Facts, keys: Sequence[str], tasks: Sequence[Task], seed: int
) -> State:
    """Room for these tasks and more; nothing is put in yet."""
    place = {key: n for n, key in enumerate(keys)}
    by_plan, by_day = np.zeros(len(keys), dtype=np.int64), np.zeros(house.days, dtype=np.int64)
    fixed = np.zeros((len(keys), house.slots), dtype=np.bool_)
    for task in tasks:
        by_plan[place[task.plan]] += 1
        by_day[day_of(task.slot)] += 1
    for task in house.agreed | house.locked:
        if task.plan in place and 0 <= task.slot < house.slots:
            fixed[place[task.plan], task.slot] = True
    most = MORE_TASKS * int(by_plan.max(initial=0)) + 8
    a_day = min(len(keys) * 2, A_DAY * int(by_day.max(initial=0)) + 32)
    zones = int(facts.zone_of.max(initial=-1)) + 1

    return State(
        zeros(len(keys), most),
        zeros(len(keys)),
        fixed,
        _line(any(row) for row in fixed),
        zeros(house.days, a_day),
        zeros(house.days, a_day),
        zeros(house.days),
        zeros(house.slots, facts.ordinary.shape[1]),
        zeros(len(facts.fee), house.days),
        zeros(len(facts.set_up_price), house.slots),
        zeros(zones, house.slots),
        zeros(len(facts.after_start) - 1, house.slots),
        zeros(house.days) + 1,
        zeros(len(facts.price), house.slots),
        zeros(len(facts.price), house.slots),
        np.array([(seed * 2 + 1) % 2**64], dtype=np.uint64),
    )
