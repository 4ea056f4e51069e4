"""One plan's cheapest chain of tasks through the whole horizon, as `whole_chain` lays it. Compiled.

Every task follows one that still covers the day: those that it follows without being early, and
those that it follows early, are two windows that only move forward.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from inspections.planning.annealing.arrays import Facts, Numbers, State
from inspections.planning.annealing.compiled import compiled
from inspections.planning.annealing.room import NO_ROOM, worked_out
from inspections.planning.whole_chain import LATE_DAY, START

NOBODY = -2


class Path(NamedTuple):
    """Half-days reached, the cheapest way to each, and the one before on that way."""

    slots: Numbers
    costs: Numbers
    before: Numbers
    chain: Numbers
    """The half-days of the chain that was found, backwards."""
    reached: Numbers
    """How many there are, lie on earlier days, can be followed at no extra price, only late."""
    passed: Numbers
    """The least cost of a chain that can only be followed late, as if on day 0, and its end."""


class Window(NamedTuple):
    """The least of what came last, first of all kept: places go in and out in the same order."""

    costs: Numbers
    places: Numbers
    ends: Numbers
    """Where what is kept begins and ends."""


def empty_path(length: int) -> Path:
    """Room for a group with so many usable half-days."""
    return Path(*(np.zeros(size, dtype=np.int64) for size in [length + 1] * 4 + [4, 2]))


def empty_window(length: int) -> Window:
    return Window(*(np.zeros(size, dtype=np.int64) for size in (length + 1, length + 1, 2)))


@compiled
def add(window: Window, cost: int, place: int) -> None:
    while window.ends[1] > window.ends[0] and window.costs[window.ends[1] - 1] >= cost:
        window.ends[1] -= 1
    window.costs[window.ends[1]] = cost
    window.places[window.ends[1]] = place
    window.ends[1] += 1


@compiled
def leave(window: Window, first: int) -> None:
    """All before this place go."""
    while window.ends[1] > window.ends[0] and window.places[window.ends[0]] < first:
        window.ends[0] += 1


@compiled
def to_the_end(days: int, rate: int, furthest: int, lawful: int) -> int:
    """Late days after the last task, and the validity used up at the end."""
    late = max(0, days - max(0, lawful)) * LATE_DAY
    return late + rate * max(0, furthest - max(lawful, days))


@compiled
def begin(path: Path, early: Window, free: Window) -> None:
    early.ends[:] = 0
    free.ends[:] = 0
    path.reached[:] = 0
    path.passed[1] = NOBODY


@compiled
def go_on_to(facts: Facts, group: int, day: int, path: Path, early: Window, free: Window) -> None:
    """A later day opens later, so both windows lose what they got first."""
    price, ahead = facts.early_price[group], facts.early_days[group]
    size, seen, opened, gone = path.reached
    while seen < size and path.slots[seen] // 2 < day:
        opens = facts.due[group, path.slots[seen] // 2] - ahead
        # What following it early costs, but for the day on which that is done.
        add(early, path.costs[seen] + opens * price, seen)
        seen += 1
    while opened < seen and facts.due[group, path.slots[opened] // 2] - ahead <= day:
        add(free, path.costs[opened], opened)
        opened += 1
    while gone < opened and facts.lawful[group, path.slots[gone] // 2] < day:
        late = path.costs[gone] - facts.lawful[group, path.slots[gone] // 2] * LATE_DAY
        if path.passed[1] == NOBODY or late < path.passed[0]:
            path.passed[0], path.passed[1] = late, gone
        gone += 1
    leave(early, opened)
    leave(free, gone)
    path.reached[1], path.reached[2], path.reached[3] = seen, opened, gone


@compiled
def cheapest_before(
    facts: Facts, plan: int, day: int, path: Path, early: Window, free: Window
) -> tuple[int, int]:
    """The least that a chain has cost before a task on this day, and what it ends with."""
    group = facts.group_of[plan]
    price = facts.early_price[group]
    cost = max(0, facts.first_due[plan] - facts.early_days[group] - day) * price
    cost += max(0, day - max(0, facts.first_lawful[plan])) * LATE_DAY
    place = START
    if free.ends[1] > free.ends[0] and free.costs[free.ends[0]] < cost:
        cost, place = free.costs[free.ends[0]], free.places[free.ends[0]]
    if early.ends[1] > early.ends[0] and early.costs[early.ends[0]] - day * price < cost:
        cost, place = early.costs[early.ends[0]] - day * price, early.places[early.ends[0]]
    if path.passed[1] != NOBODY and path.passed[0] + day * LATE_DAY < cost:
        cost, place = path.passed[0] + day * LATE_DAY, path.passed[1]
    return cost, place


@compiled
def cheapest_chain(
    facts: Facts, state: State, plan: int, path: Path, early: Window, free: Window
) -> int:
    """Lay it into `path.chain`, backwards; how many tasks it has."""
    group, days = facts.group_of[plan], facts.days
    known, known_at = state.known[group], state.known_at[group]
    lawful, rate = facts.lawful[group], facts.rate[group]
    begin(path, early, free)
    best, end = to_the_end(days, rate, lawful[days - 1], facts.first_lawful[plan]), START
    for place in range(facts.slot_start[group], facts.slot_start[group + 1]):
        slot = facts.slots[place]
        day, more = slot // 2, known[slot]
        if known_at[slot] != state.changes[day]:
            more = worked_out(facts, state, group, slot)
        if more == NO_ROOM:
            continue
        go_on_to(facts, group, day, path, early, free)
        cost, before = cheapest_before(facts, plan, day, path, early, free)
        size = path.reached[0]
        path.slots[size], path.before[size] = slot, before
        path.costs[size] = cost + facts.price[group] + more
        whole = path.costs[size] + to_the_end(days, rate, lawful[days - 1], lawful[day])
        if whole < best:
            best, end = whole, size
        path.reached[0] += 1
    return traced(path, end)


@compiled
def traced(path: Path, end: int) -> int:
    """Write down the way back from the last task; its length."""
    length = 0
    while end != START:
        path.chain[length] = path.slots[end]
        length += 1
        end = path.before[end]
    return length
