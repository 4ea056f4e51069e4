"""The rules a plan must keep in every half-day, one function for each sort of fault. Pure."""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations

from inspections.planning.house import PER_DAY, House, Need, Plan, Task

AtWork = dict[int, list[Task]]


def rule_faults(house: House, planned: list[Task], by_slot: AtWork) -> list[str]:
    """Every broken rule, in words; people's hours and dates are judged elsewhere."""
    return [
        *_unknown(house, planned),
        *_outside(house, by_slot),
        *_access(house, by_slot),
        *_crews(house, by_slot),
        *_examiners(house, by_slot),
        *_notice(house, by_slot),
        *_clashes(house, by_slot),
        *_order(house, by_slot),
        *_locked(house, planned),
    ]


def _unknown(house: House, planned: list[Task]) -> list[str]:
    return [f"{t.plan}: there is no such plan" for t in planned if t.plan not in house.plan_of]


def _outside(house: House, by_slot: AtWork) -> list[str]:
    return [
        f"half-day {slot} is outside the year" for slot in by_slot if not 0 <= slot < house.slots
    ]


def _inside(house: House, by_slot: AtWork) -> list[tuple[int, Task]]:
    return [(s, task) for s in sorted(by_slot) if 0 <= s < house.slots for task in by_slot[s]]


def _access(house: House, by_slot: AtWork) -> list[str]:
    return [
        f"{task.plan}: half-day {slot} lacks {', '.join(sorted(missing))}"
        for slot, task in _inside(house, by_slot)
        if (missing := house.plan_of[task.plan].access - house.access[slot])
    ]


def _crews(house: House, by_slot: AtWork) -> list[str]:
    """A task for two is never left to one who could do either part."""
    return [
        f"{task.plan}: half-day {slot} lacks different people for all its parts"
        for slot, task in _inside(house, by_slot)
        if not _each_part_has_its_own(house, house.plan_of[task.plan], slot)
    ]


def _each_part_has_its_own(house: House, plan: Plan, slot: int) -> bool:
    """Each part of a task is given to people until none is left to give it to."""
    parts = [need for need in plan.needs for _ in range(need.people)]
    given: dict[str, int] = {}
    return all(_given(house, parts, part, slot, given, set()) for part in range(len(parts)))


def _given(
    house: House, parts: list[Need], part: int, slot: int, given: dict[str, int], asked: set[str]
) -> bool:
    """Find somebody for a part; whoever has another one may pass it on."""
    need = parts[part]
    least = max(1, need.quarters // need.people) if len(parts) > 1 else 1
    for person in house.people:
        hours = person.quarters[slot] + (person.overtime[slot] if person.overtime else 0)
        able = person.may(need.competence, slot // 2) and hours >= least
        if not able or person.key in asked:
            continue
        asked.add(person.key)
        passed_on = person.key not in given or _given(
            house, parts, given[person.key], slot, given, asked
        )
        if passed_on:
            given[person.key] = part
            return True
    return False


def _examiners(house: House, by_slot: AtWork) -> list[str]:
    """No visit on a day not offered or without notice, and no more work than a day holds."""
    work: dict[tuple[str, int], int] = defaultdict(int)
    for slot, task in _inside(house, by_slot):
        plan = house.plan_of[task.plan]
        if plan.examiner:
            work[plan.examiner, slot // 2] += plan.examiner_quarters
    faults = []
    for (trade, day), quarters in work.items():
        examiner = house.examiners[trade]
        offered = day in examiner.days and day >= examiner.notice_days
        if not offered and day not in examiner.arranged:
            faults.append(f"examiner ({trade}) does not come on day {day}")
        if quarters > examiner.quarters_a_day:
            faults.append(f"examiner ({trade}): too much on day {day}")
    return faults


def _notice(house: House, by_slot: AtWork) -> list[str]:
    """Nothing is made ready sooner than its notice allows, but where that was given before."""
    faults = []
    for slot, task in _inside(house, by_slot):
        for key in sorted(house.plan_of[task.plan].set_ups):
            made = house.set_ups[key]
            told = {slot // 2} if made.per == PER_DAY else {slot}
            if slot // 2 < made.notice_days and not told & made.arranged:
                faults.append(f"{task.plan}: too late to give notice of {key} for day {slot // 2}")
    return faults


def _clashes(house: House, by_slot: AtWork) -> list[str]:
    """Never work above people, never two vertical zones at once."""
    return [
        f"half-day {slot}: {one.plan} and {other.plan} clash"
        for slot, tasks in by_slot.items()
        if _may_clash(house, tasks)
        for one, other in combinations(tasks, 2)
        if any(
            frozenset((a, b)) in house.clashes
            for a in house.plan_of[one.plan].zones
            for b in house.plan_of[other.plan].zones
        )
    ]


def _may_clash(house: House, tasks: list[Task]) -> bool:
    """Whether the uses of two clash, whosever they are; most half-days need no closer look."""
    uses = {use for task in tasks for use in house.plan_of[task.plan].zones}
    return any(clash <= uses for clash in house.clashes)


def _order(house: House, by_slot: AtWork) -> list[str]:
    """On one day nothing of the first kind is at work after something of the second."""
    faults = []
    for first, then in house.order:
        for day in range(house.days):
            morning = {house.plan_of[t.plan].kind for t in by_slot.get(2 * day, ())}
            afternoon = {house.plan_of[t.plan].kind for t in by_slot.get(2 * day + 1, ())}
            if then in morning and first in afternoon:
                faults.append(f"day {day}: {then} comes before {first}")
    return faults


def _locked(house: House, planned: list[Task]) -> list[str]:
    missing = house.locked - set(planned)
    return [
        f"{task.plan}: locked to half-day {task.slot} but not there" for task in sorted(missing)
    ]
