"""What half-days hold: whether one more task fits, what it would cost, and putting it there.

As `load.Load` does it, compiled; a test holds the two side by side.
"""

from __future__ import annotations

from inspections.planning.annealing.arrays import Facts, Numbers, State
from inspections.planning.annealing.compiled import compiled


@compiled
def unit(by_day: Numbers, set_up: int, slot: int) -> int:
    """The day or half-day for which something is made ready once."""
    return slot // 2 if by_day[set_up] else slot


@compiled
def zones_free(facts: Facts, state: State, group: int, slot: int) -> bool:
    zone_of, against_start, against_of = facts.zone_of, facts.against_start, facts.against_of
    zones, free = state.zones, True
    for place in range(facts.zone_start[group], facts.zone_start[group + 1]):
        use = zone_of[place]
        for other in range(against_start[use], against_start[use + 1]):
            free = free and not zones[against_of[other], slot]
    return free


@compiled
def in_order(facts: Facts, state: State, group: int, slot: int) -> bool:
    kind, kinds, free = facts.kind[group], state.kinds, True
    after_of, before_of = facts.after_of, facts.before_of
    if slot % 2:
        for place in range(facts.after_start[kind], facts.after_start[kind + 1]):
            free = free and not kinds[after_of[place], slot - 1]
    else:
        for place in range(facts.before_start[kind], facts.before_start[kind + 1]):
            free = free and not kinds[before_of[place], slot + 1]
    return free


@compiled
def people_free(facts: Facts, state: State, group: int, slot: int) -> bool:
    sort, asked, most, sums = facts.sort[slot], facts.asked, facts.most, state.sums
    free = True
    for limit in range(facts.limits[sort]):
        more = asked[group, sort, limit]
        free = free and (not more or sums[slot, limit] + more <= most[sort, limit])
    return free


@compiled
def examiner_free(facts: Facts, state: State, group: int, begin: int) -> bool:
    trade, free = facts.examiner[group], True
    if trade >= 0:
        end = begin + facts.duration[group]
        for day in range(begin // 2, (end - 1) // 2 + 1):
            halves = min(end, 2 * day + 2) - max(begin, 2 * day)
            more = halves * facts.examiner_quarters[group]
            free = free and state.examined[trade, day] + more <= facts.a_day[trade]
    return free


@compiled
def fits(facts: Facts, state: State, group: int, begin: int) -> bool:
    """Whether a usable half-day still has room for one more of the group."""
    if not examiner_free(facts, state, group, begin):
        return False
    for slot in range(begin, begin + facts.duration[group]):
        if not (
            zones_free(facts, state, group, slot)
            and in_order(facts, state, group, slot)
            and people_free(facts, state, group, slot)
        ):
            return False
    return True


@compiled
def more_overtime(facts: Facts, state: State, group: int, slot: int) -> int:
    sort, asked, sums, ordinary = facts.sort[slot], facts.asked, state.sums, facts.ordinary
    before = after = 0
    for limit in range(facts.limits[sort]):
        over = sums[slot, limit] - ordinary[sort, limit]
        before = max(before, over)
        after = max(after, over + asked[group, sort, limit])
    return after - before


@compiled
def extra_price(facts: Facts, state: State, group: int, begin: int) -> int:
    """What one more of the group costs there: new visits, set-ups, overtime."""
    cost, end, made = 0, begin + facts.duration[group], state.made
    set_up_of, by_day, set_up_price = facts.set_up_of, facts.by_day, facts.set_up_price
    trade = facts.examiner[group]
    if trade >= 0:
        for day in range(begin // 2, (end - 1) // 2 + 1):
            if not state.examined[trade, day]:
                cost += facts.fee[trade]
    for place in range(facts.set_up_start[group], facts.set_up_start[group + 1]):
        set_up = set_up_of[place]
        for one in range(unit(by_day, set_up, begin), unit(by_day, set_up, end - 1) + 1):
            if not made[set_up, one]:
                cost += set_up_price[set_up]
    if facts.overtime_price:
        for slot in range(begin, end):
            cost += facts.overtime_price * more_overtime(facts, state, group, slot)
    return cost


NO_ROOM = -1


@compiled
def worked_out(facts: Facts, state: State, group: int, slot: int) -> int:
    """What one more of the group costs there; NO_ROOM where it does not fit, or the day's list has
    no place left. It is kept until something changes that day: nothing else has a say in it for a
    task of one half-day."""
    price = extra_price(facts, state, group, slot)
    listed = state.at_count[slot // 2] < state.at_plan.shape[1] - 1
    if not listed or not fits(facts, state, group, slot):
        price = NO_ROOM
    state.known[group, slot] = price
    state.known_at[group, slot] = state.changes[slot // 2]
    return price


@compiled
def count(facts: Facts, state: State, group: int, begin: int, sign: int) -> None:
    """Count a task in; with sign -1 count it out."""
    trade, kind = facts.examiner[group], facts.kind[group]
    set_up_of, zone_of, by_day = facts.set_up_of, facts.zone_of, facts.by_day
    asked, sums, zones, made = facts.asked, state.sums, state.zones, state.made
    for slot in range(begin, begin + facts.duration[group]):
        sort = facts.sort[slot]
        for limit in range(facts.limits[sort]):
            sums[slot, limit] += sign * asked[group, sort, limit]
        for place in range(facts.zone_start[group], facts.zone_start[group + 1]):
            zones[zone_of[place], slot] += sign
        for place in range(facts.set_up_start[group], facts.set_up_start[group + 1]):
            made[set_up_of[place], unit(by_day, set_up_of[place], slot)] += sign
        if trade >= 0:
            state.examined[trade, slot // 2] += sign * facts.examiner_quarters[group]
        state.kinds[kind, slot] += sign
        state.changes[slot // 2] += 1


@compiled
def put(facts: Facts, state: State, plan: int, slot: int) -> int:
    """Put a task there; what it costs more."""
    group = facts.group_of[plan]
    paid = extra_price(facts, state, group, slot)
    count(facts, state, group, slot, 1)
    place = state.counts[plan]
    while place and state.begun[plan, place - 1] > slot:
        state.begun[plan, place] = state.begun[plan, place - 1]
        place -= 1
    state.begun[plan, place] = slot
    state.counts[plan] += 1
    day = slot // 2
    state.at_plan[day, state.at_count[day]] = plan
    state.at_slot[day, state.at_count[day]] = slot
    state.at_count[day] += 1
    return paid


@compiled
def take(facts: Facts, state: State, plan: int, slot: int) -> int:
    """Take a task out; what that saves."""
    group = facts.group_of[plan]
    count(facts, state, group, slot, -1)
    place = 0
    while state.begun[plan, place] != slot:
        place += 1
    state.counts[plan] -= 1
    for after in range(place, state.counts[plan]):
        state.begun[plan, after] = state.begun[plan, after + 1]
    day, place = slot // 2, 0
    while state.at_plan[day, place] != plan or state.at_slot[day, place] != slot:
        place += 1
    state.at_count[day] -= 1
    last = state.at_count[day]
    state.at_plan[day, place] = state.at_plan[day, last]
    state.at_slot[day, place] = state.at_slot[day, last]
    return extra_price(facts, state, group, slot)
