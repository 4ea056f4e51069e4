"""Fills the gap that a task left in its plan where that costs least. Compiled."""

from __future__ import annotations

import numpy as np

from inspections.planning.annealing.arrays import Facts, Random, State
from inspections.planning.annealing.compiled import compiled
from inspections.planning.annealing.room import NO_ROOM, worked_out
from inspections.planning.whole_chain import LATE_DAY

NOWHERE = -1


@compiled
def by_chance(random: Random) -> float:
    """The next number from 0 to below 1 (splitmix64)."""
    random[0] += np.uint64(0x9E3779B97F4A7C15)
    mixed = random[0]
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    mixed = mixed ^ (mixed >> np.uint64(31))
    return float(mixed >> np.uint64(11)) / 9007199254740992.0


@compiled
def one_of(random: Random, number: int) -> int:
    """One of so many, all as likely."""
    return int(by_chance(random) * number)


@compiled
def done_on(facts: Facts, group: int, slot: int) -> int:
    return (slot + facts.duration[group] - 1) // 2


@compiled
def place_of(state: State, plan: int, slot: int) -> int:
    """How many of a plan's tasks begin before this half-day."""
    place = 0
    while place < state.counts[plan] and state.begun[plan, place] < slot:
        place += 1
    return place


@compiled
def gap_of(facts: Facts, state: State, plan: int, slot: int) -> tuple[bool, int, int, int]:
    """Whether anything is missing where a task was taken out, first and last day that would fill
    it, and the day before which that is early."""
    group, days = facts.group_of[plan], facts.days
    place = place_of(state, plan, slot)
    last = done_on(facts, group, state.begun[plan, place - 1]) if place else -1
    after = done_on(facts, group, state.begun[plan, place]) if place < state.counts[plan] else -1
    if facts.anchored[group]:
        due = min(facts.due_start[plan] + place, facts.due_start[plan + 1] - 1)
        first = max(facts.opens[due], last + 1)
        lawful = min(facts.last_lawful[due], days if after < 0 else after - 1)
        return True, first, lawful, facts.dues[due] - facts.early_days[group]
    lawful = facts.first_lawful[plan] if last < 0 else facts.lawful[group, last]
    due_day = facts.first_due[plan] if last < 0 else facts.due[group, last]
    if (days if after < 0 else after) <= lawful:
        return False, 0, 0, 0
    first = last + 1
    if after >= 0:
        first = max(first, np.searchsorted(facts.lawful[group], after))
        lawful = min(lawful, after - 1)
    # What was late already may stay as late as it was.
    most = max(lawful, done_on(facts, group, slot))
    return True, first, most, due_day - facts.early_days[group]


@compiled
def cheapest(facts: Facts, state: State, plan: int, first: int, last: int, free_from: int) -> int:
    """The half-day from the first to the last day that costs least, validity given away counted
    by chance; NOWHERE when none has room."""
    group = facts.group_of[plan]
    low, high = facts.slot_start[group], facts.slot_start[group + 1]
    usable, length = facts.slots[low:high], facts.duration[group]
    known, known_at, changes = state.known[group], state.known_at[group], state.changes
    random = state.random
    early_price, rate = facts.early_price[group], facts.rate[group]
    begin = np.searchsorted(usable, 2 * first - length + 1)
    place = np.searchsorted(usable, 2 * last + 2 - length, side="right") - 1
    best, price = NOWHERE, 0.0
    if state.counts[plan] >= state.begun.shape[1] - 1:
        return NOWHERE
    while place >= begin:
        slot = usable[place]
        place -= 1
        day = (slot + length - 1) // 2
        cost = float(max(0, free_from - day) * early_price)
        cost += rate * (last - day) * by_chance(random)
        if best != NOWHERE and cost >= price:
            continue
        more = known[slot]
        if length > 1 or known_at[slot] != changes[day]:
            more = worked_out(facts, state, group, slot)
        if more == NO_ROOM:
            continue
        cost += more
        if best == NOWHERE or cost < price:
            best, price = slot, cost
    return best


@compiled
def own_cost(facts: Facts, state: State, plan: int) -> int:
    """Money of one plan's own tasks: their price, early days, validity used up at the end; a
    late day weighs more than any money."""
    group = facts.group_of[plan]
    cost = facts.price[group] * state.counts[plan]
    due, lawful = facts.first_due[plan], facts.first_lawful[plan]
    for number in range(state.counts[plan]):
        day = done_on(facts, group, state.begun[plan, number])
        if facts.anchored[group]:
            place = min(facts.due_start[plan] + number, facts.due_start[plan + 1] - 1)
            due, lawful = facts.dues[place], facts.last_lawful[place]
            # Before it opens it may not be done at all.
            cost += max(0, facts.opens[place] - day) * LATE_DAY
        cost += max(0, due - facts.early_days[group] - day) * facts.early_price[group]
        if day > lawful:
            cost += (day - max(0, lawful)) * LATE_DAY
        due, lawful = facts.due[group, day], facts.lawful[group, day]
    if facts.anchored[group]:
        return cost
    cost += max(0, facts.days - max(0, lawful)) * LATE_DAY
    return cost + facts.rate[group] * max(
        0, facts.lawful[group, facts.days - 1] - max(lawful, facts.days)
    )
