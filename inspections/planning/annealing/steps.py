"""One step after the other: empty a visit, a set-up or a day, fill the gaps or lay whole chains
anew, and keep what is cheaper or, while the search is hot, now and then what is dearer. Compiled.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from inspections.planning.annealing.arrays import Facts, Numbers, State
from inspections.planning.annealing.chains import Path, Window, cheapest_chain
from inspections.planning.annealing.compiled import compiled
from inspections.planning.annealing.gaps import (
    NOWHERE,
    by_chance,
    cheapest,
    gap_of,
    one_of,
    own_cost,
)
from inspections.planning.annealing.room import put, take, unit

WHOLE_CHAINS = 0.06
"""How often whole chains are laid anew: slower than filling gaps, and saves tasks."""
FEW = 6
"""Of more plans at once chains take too long: three years were searched three times as fast."""
VISIT, SET_UP, ONE = 0.35, 0.7, 0.9
TRIES = 1000
LONGER, LONGEST = 0.4, 30
"""How often a step goes on through the days after, and through how many."""


class Hand(NamedTuple):
    """What a step takes out and puts in; room to work in."""

    out_plan: Numbers
    out_slot: Numbers
    in_plan: Numbers
    in_slot: Numbers
    plans: Numbers
    path: Path
    early: Window
    free: Window


@compiled
def accepts(state: State, more: int, heat: float) -> bool:
    """What is no dearer, and while the search is hot now and then what is: the dearer, the less
    often."""
    return more <= 0 or more < -heat * np.log(1 - by_chance(state.random))


@compiled
def shares(facts: Facts, group: int, slot: int, set_up: int, at: int, anywhere: bool) -> bool:
    """Whether a task uses this set-up, and where it does not matter or is where another uses it."""
    found = False
    for place in range(facts.set_up_start[group], facts.set_up_start[group + 1]):
        if facts.set_up_of[place] == set_up:
            same = unit(facts.by_day, set_up, slot) == unit(facts.by_day, set_up, at)
            found = anywhere or same
    return found


@compiled
def busy_day(facts: Facts, state: State) -> int:
    """A day with tasks, all such days as likely; another one only where there is hardly any."""
    day = one_of(state.random, facts.days)
    for _ in range(TRIES):
        if state.at_count[day]:
            break
        day = one_of(state.random, facts.days)
    return day


@compiled
def add_at_a_chance_place(state: State, hand: Hand, size: int, plan: int, slot: int) -> None:
    place = one_of(state.random, size + 1)
    hand.out_plan[size], hand.out_slot[size] = hand.out_plan[place], hand.out_slot[place]
    hand.out_plan[place], hand.out_slot[place] = plan, slot


@compiled
def chosen(facts: Facts, state: State, hand: Hand) -> int:
    """What to take out: the tasks of one resource, all of them, or one task; of one day, or of
    some days on end. How many there are."""
    day, size, end = busy_day(facts, state), 0, 1
    if not state.at_count[day]:
        return 0
    chance = one_of(state.random, state.at_count[day])
    plan, slot = state.at_plan[day, chance], state.at_slot[day, chance]
    group, way = facts.group_of[plan], by_chance(state.random)
    own = facts.set_up_of[facts.set_up_start[group] : facts.set_up_start[group + 1]]
    set_up = own[one_of(state.random, len(own))] if len(own) else -1
    if by_chance(state.random) < LONGER:
        end += one_of(state.random, LONGEST)
    for on in range(day, min(day + end, facts.days)):
        for place in range(state.at_count[on]):
            other, at = state.at_plan[on, place], state.at_slot[on, place]
            theirs = facts.group_of[other]
            if way < VISIT and facts.examiner[group] >= 0:
                wanted = facts.examiner[theirs] == facts.examiner[group]
            elif way < SET_UP and set_up >= 0:
                wanted = shares(facts, theirs, at, set_up, slot, end > 1)
            elif way < ONE:
                wanted = other == plan and at == slot
            else:
                wanted = True
            if wanted and not state.fixed[other, at] and size < len(hand.plans):
                add_at_a_chance_place(state, hand, size, other, at)
                size += 1
    return size


@compiled
def their_plans(hand: Hand, size: int) -> int:
    """The plans of what is taken out, each once; how many."""
    count = 0
    for number in range(size):
        known = False
        for other in range(count):
            known = known or hand.plans[other] == hand.out_plan[number]
        if not known:
            hand.plans[count] = hand.out_plan[number]
            count += 1
    return count


@compiled
def costs_of(facts: Facts, state: State, hand: Hand, count: int) -> int:
    total = 0
    for number in range(count):
        total += own_cost(facts, state, hand.plans[number])
    return total


@compiled
def gaps_anew(facts: Facts, state: State, hand: Hand, size: int, heat: float) -> int:
    """Take these out and fill each gap that must be filled where it costs least; the money more."""
    count = their_plans(hand, size)
    more = -costs_of(facts, state, hand, count)
    for number in range(size):
        more -= take(facts, state, hand.out_plan[number], hand.out_slot[number])
    filled, possible = 0, True
    for number in range(size):
        plan = hand.out_plan[number]
        missing, first, last, free_from = gap_of(facts, state, plan, hand.out_slot[number])
        if not missing:
            continue
        slot = cheapest(facts, state, plan, first, last, free_from)
        if slot == NOWHERE:
            possible = False
            break
        more += put(facts, state, plan, slot)
        hand.in_plan[filled], hand.in_slot[filled] = plan, slot
        filled += 1
    more += costs_of(facts, state, hand, count)
    if possible and accepts(state, more, heat):
        return more
    while filled:
        filled -= 1
        take(facts, state, hand.in_plan[filled], hand.in_slot[filled])
    for number in range(size):
        put(facts, state, hand.out_plan[number], hand.out_slot[number])
    return 0


@compiled
def chains_anew(facts: Facts, state: State, hand: Hand, size: int, heat: float) -> int:
    """Take these out, then each plan's other tasks as well, and lay its cheapest chain."""
    count, possible = their_plans(hand, size), True
    more = -costs_of(facts, state, hand, count)
    for number in range(size):
        more -= take(facts, state, hand.out_plan[number], hand.out_slot[number])
    for number in range(count):
        plan = hand.plans[number]
        while state.counts[plan]:
            slot = state.begun[plan, state.counts[plan] - 1]
            more -= take(facts, state, plan, slot)
            hand.out_plan[size], hand.out_slot[size] = plan, slot
            size += 1
        length = cheapest_chain(facts, state, plan, hand.path, hand.early, hand.free)
        if length >= state.begun.shape[1] - 1:
            possible, length = False, 0
        for place in range(length):
            more += put(facts, state, plan, hand.path.chain[length - 1 - place])
    more += costs_of(facts, state, hand, count)
    if possible and accepts(state, more, heat):
        return more
    for number in range(count):
        plan = hand.plans[number]
        while state.counts[plan]:
            take(facts, state, plan, state.begun[plan, state.counts[plan] - 1])
    for number in range(size):
        put(facts, state, hand.out_plan[number], hand.out_slot[number])
    return 0


@compiled
def may_be_chained(facts: Facts, state: State, hand: Hand, size: int) -> bool:
    """Long tasks of one plan may overlap, and what is fixed stays: they are no shortest path."""
    for number in range(size):
        plan = hand.out_plan[number]
        group = facts.group_of[plan]
        if state.held[plan] or facts.anchored[group] or facts.duration[group] > 1:
            return False
    return True


@compiled
def run(facts: Facts, state: State, hand: Hand, steps: int, heat: float) -> int:
    """So many steps; how much money more the plan costs then."""
    more = 0
    for _ in range(steps):
        size = chosen(facts, state, hand)
        if not size:
            continue
        chains = size <= FEW and by_chance(state.random) < WHOLE_CHAINS
        if chains and may_be_chained(facts, state, hand, size):
            more += chains_anew(facts, state, hand, size, heat)
        else:
            more += gaps_anew(facts, state, hand, size, heat)
    return more
