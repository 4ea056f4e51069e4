"""What tasks share and fight over: visits, set-ups, zones, order, people, weeks. Needs OR-Tools."""

from __future__ import annotations

from collections import Counter, defaultdict

from ortools.sat.python import cp_model

from inspections.planning.groups import Group
from inspections.planning.house import PER_DAY, day_of
from inspections.planning.model import YearModel
from inspections.planning.model_strength import (
    add_whole_tasks,
    asked_of,
    people_of_units,
    strengthen,
)

Pairs = list[tuple[Group, int]]


EXAMINERS, ZONES, ORDER, PEOPLE, LOCKS = "examiners", "zones", "order", "people", "locks"
RULES = (EXAMINERS, ZONES, ORDER, PEOPLE, LOCKS)


def add_resources(year: YearModel, without: frozenset[str] = frozenset()) -> YearModel:
    """Every rule of the house beside the intervals; some left out to ask what they cost."""
    work = year.at_work()
    if EXAMINERS not in without:
        _visits(year, work)
    _set_ups(year, work)
    if ZONES not in without:
        _zones(year, work)
    if ORDER not in without:
        _order(year, work)
    if PEOPLE not in without:
        _people(year, work)
        people_of_units(year, work)
    _weeks(year)
    _agreed(year, locks=LOCKS not in without)
    return year


def _wanted(year: YearModel, pairs: Pairs, name: str) -> cp_model.IntVar:
    """A yes or no that is yes when anything of these begins."""
    needed = year.cp.new_bool_var(name)
    for group, begin in pairs:
        key = (group.number, begin)
        year.cp.add(year.begun[key] <= year.most[key] * needed)
    return needed


def _visits(year: YearModel, work: dict[int, Pairs]) -> None:
    by_day: dict[tuple[str, int], Pairs] = defaultdict(list)
    for slot, pairs in work.items():
        for group, begin in pairs:
            if group.pattern.examiner:
                by_day[group.pattern.examiner, day_of(slot)].append((group, begin))
    visits: dict[str, dict[int, list[cp_model.IntVar]]] = defaultdict(lambda: defaultdict(list))
    for (trade, day), pairs in by_day.items():
        examiner = year.house.examiners[trade]
        visit = _wanted(year, sorted(set(pairs), key=_place), f"v{trade}_{day}")
        hours = sum(
            year.begun[group.number, begin] * group.pattern.examiner_quarters
            for group, begin in pairs
        )
        year.cp.add(hours <= examiner.quarters_a_day * visit)
        year.cost["examiner", trade].add(visit, examiner.day_fee)
        year.made["examiner", trade][day] = visit
        visits[trade][day].append(visit)
    for trade, by_its_day in visits.items():
        users = [group for group in year.groups if group.pattern.examiner == trade]
        strengthen(year, users, by_its_day, one_a_day=True)


def _place(pair: tuple[Group, int]) -> tuple[int, int]:
    return pair[0].number, pair[1]


def _set_ups(year: YearModel, work: dict[int, Pairs]) -> None:
    by_unit: dict[tuple[str, int], dict[tuple[int, int], tuple[Group, int]]] = defaultdict(dict)
    for slot, pairs in work.items():
        for pair in pairs:
            for key in pair[0].pattern.set_ups:
                unit = day_of(slot) if year.house.set_ups[key].per == PER_DAY else slot
                by_unit[key, unit][_place(pair)] = pair
    by_day: dict[str, dict[int, list[cp_model.IntVar]]] = defaultdict(lambda: defaultdict(list))
    for (key, unit), using in sorted(by_unit.items()):
        made = _wanted(year, list(using.values()), f"u{key}_{unit}")
        year.cost["set-up", key].add(made, year.house.set_ups[key].price)
        year.made["set-up", key][unit] = made
        whole_day = year.house.set_ups[key].per == PER_DAY
        by_day[key][unit if whole_day else day_of(unit)].append(made)
    for key, by_its_day in by_day.items():
        users = [group for group in year.groups if key in group.pattern.set_ups]
        strengthen(year, users, by_its_day, one_a_day=year.house.set_ups[key].per == PER_DAY)


def _zones(year: YearModel, work: dict[int, Pairs]) -> None:
    """Two uses that clash never share a half-day."""
    for slot, pairs in work.items():
        uses: dict[tuple[str, str], Pairs] = defaultdict(list)
        for group, begin in pairs:
            for use in group.pattern.zones:
                uses[use].append((group, begin))
        taken: dict[tuple[str, str], cp_model.IntVar] = {}
        for clash in sorted(year.house.clashes, key=sorted):
            if not all(use in uses for use in clash):
                continue
            if len(clash) == 1:
                (use,) = clash
                year.cp.add(sum(year.begun[g.number, b] for g, b in uses[use]) <= 1)
                continue
            for use in clash:
                if use not in taken:
                    taken[use] = _wanted(year, uses[use], f"z{use}_{slot}")
            year.cp.add_bool_or([~taken[use] for use in sorted(clash)])


def _order(year: YearModel, work: dict[int, Pairs]) -> None:
    kinds: dict[tuple[str, int], Pairs] = defaultdict(list)
    for slot, pairs in work.items():
        for group, begin in pairs:
            kinds[group.pattern.kind, slot].append((group, begin))
    for first, then in year.house.order:
        for day in range(year.house.days):
            after, before = kinds.get((first, 2 * day + 1)), kinds.get((then, 2 * day))
            if after and before:
                late = _wanted(year, after, f"k{first}_{day}")
                soon = _wanted(year, before, f"k{then}_{day}")
                year.cp.add_bool_or([~late, ~soon])


def _people(year: YearModel, work: dict[int, Pairs]) -> None:
    """Hours of people by half-day; overtime is what the ordinary hours cannot hold."""
    for slot, pairs in work.items():
        over: cp_model.IntVar | None = None
        for limit in year.capacity.limits(slot):
            asked = asked_of(pairs, limit.competences)
            most = sum(quarters * year.most[key] for key, quarters in asked)
            if most <= limit.ordinary:
                continue
            if over is None:
                over = year.cp.new_int_var(0, _most_overtime(year, slot), f"o{slot}")
                year.cost["people", "overtime"].add(over, year.house.overtime_price)
                year.overtime[slot] = over
            hours = sum(year.begun[key] * quarters for key, quarters in asked)
            year.cp.add(hours <= limit.most)
            year.cp.add(hours - over <= limit.ordinary)
            add_whole_tasks(year, asked, limit, over, 1)


def _most_overtime(year: YearModel, slot: int) -> int:
    return max(limit.most for limit in year.capacity.limits(slot))


def _weeks(year: YearModel) -> None:
    target = year.house.week_target
    if not target:
        return
    for week, work in year.weeks().items():
        most = sum(quarters * var.proto.domain[1] for var, quarters in work)
        if most > target:
            over = year.cp.new_int_var(0, most - target, f"w{week}")
            year.cp.add(sum(var * quarters for var, quarters in work) - over <= target)
            year.level.add(over, 1)


def _agreed(year: YearModel, *, locks: bool) -> None:
    """Agreed tasks that stay; locked ones must."""
    group_of = {plan.key: group for group in year.groups for plan in group.members}
    agreed: Counter[tuple[int, int]] = Counter()
    locked: Counter[tuple[int, int]] = Counter()
    for tasks, counts in ((year.house.agreed, agreed), (year.house.locked, locked)):
        for task in tasks:
            if task.plan in group_of:
                counts[group_of[task.plan].number, task.slot] += 1
    for key, count in sorted(agreed.items()):
        year.moved.constant += count
        if key in year.begun:
            kept = year.cp.new_int_var(0, count, "")
            year.cp.add(kept <= year.begun[key])
            year.moved.add(kept, -1)
    for key, count in sorted(locked.items()) if locks else ():
        if key in year.begun:
            year.cp.add(year.begun[key] >= min(count, year.most[key]))
