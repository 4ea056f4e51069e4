"""Rows that change no plan and raise the bound: a window that needs tasks needs visits.

A window that must hold r tasks of a group, of which at most m fit one visit, needs r / m visits,
rounded up. Without the rounding the relaxed model pays a seventh of a visit for one task. And
where there is no visit or set-up, no hour of people is worked for it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence

from ortools.sat.python import cp_model

from inspections.planning.capacity import Limit
from inspections.planning.groups import Group
from inspections.planning.house import PER_DAY, Plan, day_of
from inspections.planning.model import Row, Tag, YearModel

Units = Mapping[int, Sequence[cp_model.IntVar]]
"""For each day whether the resource is there: once, or once for each half-day."""


def strengthen(year: YearModel, users: Sequence[Group], units: Units, *, one_a_day: bool) -> None:
    """Add the rounded rows of one resource for every group that uses it."""
    days = sorted(units)
    totals: list[cp_model.IntVar] = []
    for day in days:
        most = (len(totals) + 1) * 2
        total = year.cp.new_int_var(0, most, "")
        year.cp.add(total == (totals[-1] if totals else 0) + sum(units[day]))
        totals.append(total)
    year.add_running(totals, [units[day] for day in days])
    for group in users:
        _add_rows(year, group, days, totals, _most_in_one(year, group, one_a_day=one_a_day))


def _most_in_one(year: YearModel, group: Group, *, one_a_day: bool) -> int:
    """The most tasks of a group that one visit or set-up can serve."""
    most: dict[int, int] = {}
    for slot in group.slots:
        unit = group.done_on(slot) if one_a_day else slot
        most[unit] = most.get(unit, 0) + year.most.get((group.number, slot), 0)
    examiner = year.house.examiners.get(group.pattern.examiner)
    whole = group.size
    if examiner and group.pattern.examiner_quarters:
        whole = min(whole, examiner.quarters_a_day // group.pattern.examiner_quarters)
    return max(1, min(whole, max(most.values(), default=1)))


def _add_rows(
    year: YearModel, group: Group, days: list[int], totals: list[cp_model.IntVar], most: int
) -> None:
    usable = year.totals[group.number][0]
    for (low, high, asked), short in tightest(year.asked[group.number], most):
        first = bisect_left(days, usable[low])
        last = bisect_right(days, usable[high - 1])
        before = totals[first - 1] if first else 0
        year.cp.add(totals[last - 1] - before + short >= -(-asked // most))


def tightest(
    rows: Sequence[tuple[Row, cp_model.IntVar]], most: int
) -> list[tuple[Row, cp_model.IntVar]]:
    """Leaves out windows that hold another one which asks for as many visits."""
    best_by_low: dict[tuple[int, int], tuple[Row, cp_model.IntVar]] = {}
    for row, short in rows:
        key = (row[0], -(-row[2] // most))
        if key not in best_by_low or row[1] < best_by_low[key][0][1]:
            best_by_low[key] = (row, short)
    best_by_high: dict[tuple[int, int], tuple[Row, cp_model.IntVar]] = {}
    for row, short in best_by_low.values():
        key = (row[1], -(-row[2] // most))
        if key not in best_by_high or row[0] > best_by_high[key][0][0]:
            best_by_high[key] = (row, short)
    return list(best_by_high.values())


def resources_of(plan: Plan) -> list[Tag]:
    """The examiner and the set-ups of a plan, as their costs are named."""
    examiner: list[Tag] = [("examiner", plan.examiner)] if plan.examiner else []
    return [*examiner, *(("set-up", key) for key in sorted(plan.set_ups))]


def unit_of(year: YearModel, tag: Tag, slot: int) -> int:
    """The day or half-day for which a resource is there once."""
    sort, key = tag
    by_day = sort == "examiner" or year.house.set_ups[key].per == PER_DAY
    return day_of(slot) if by_day else slot


def quarters_asked(plan: Plan, competences: frozenset[str]) -> int:
    """Quarter-hours that a task asks of people with one of these competences."""
    return sum(need.quarters for need in plan.needs if need.competence in competences)


def people_of_units(year: YearModel, work: Mapping[int, Iterable[tuple[Group, int]]]) -> None:
    """The hours of all tasks that share a visit or a set-up fit people only where it is there."""
    for slot, pairs in work.items():
        using: dict[Tag, list[tuple[Group, int]]] = {}
        for group, begin in pairs:
            for tag in resources_of(group.pattern):
                using.setdefault(tag, []).append((group, begin))
        for tag, its_pairs in sorted(using.items()):
            there = year.made[tag].get(unit_of(year, tag, slot))
            if there is not None:
                _people_of_unit(year, slot, its_pairs, there)


Asked = list[tuple[tuple[int, int], int]]
"""For each group and beginning at work in a half-day the quarter-hours that one task asks for."""


def asked_of(pairs: Iterable[tuple[Group, int]], competences: frozenset[str]) -> Asked:
    """What tasks ask of people with one of these competences; those that ask nothing left out."""
    return [
        ((group.number, begin), quarters)
        for group, begin in pairs
        if (quarters := quarters_asked(group.pattern, competences))
    ]


def _people_of_unit(
    year: YearModel, slot: int, pairs: list[tuple[Group, int]], there: cp_model.IntVar
) -> None:
    over = year.overtime.get(slot)
    for limit in year.capacity.limits(slot):
        asked = asked_of(pairs, limit.competences)
        hours = sum(year.begun[key] * quarters for key, quarters in asked)
        most = sum(year.most[key] * quarters for key, quarters in asked)
        if most > limit.most:
            year.cp.add(hours <= limit.most * there)
        if most > limit.ordinary and over is not None:
            year.cp.add(hours - over <= limit.ordinary * there)
            add_whole_tasks(year, asked, limit, over, there)


def add_whole_tasks(
    year: YearModel, asked: Asked, limit: Limit, over: cp_model.IntVar, there: cp_model.IntVar | int
) -> None:
    """Hours that no whole task fits into are of no use."""
    for weights, most in whole_tasks([quarters for _, quarters in asked], limit.ordinary):
        weighed = [(key, w) for (key, _), w in zip(asked, weights, strict=True) if w]
        if sum(weight * year.most[key] for key, weight in weighed) > most:
            work = sum(weight * year.begun[key] for key, weight in weighed)
            year.cp.add(work - over <= most * there)


def whole_tasks(quarters: Sequence[int], available: int) -> list[tuple[list[int], int]]:
    """Weights of tasks of so many quarter-hours, and the most of it that fits; a quarter-hour more
    of people is worth one. Mixed-integer rounding of the hours, by what each sort of task asks.

    >>> whole_tasks([4, 3], 14)
    [([1, 1], 4), ([2, 1], 6)]
    """
    found: dict[tuple[int, ...], int] = {}
    for size in sorted(set(quarters) - {0}):
        rest = available % size
        if rest and size < available:
            step = size - rest
            weights = tuple(step * (q // size) + max(0, q % size - rest) for q in quarters)
            most = step * (available // size)
            found[weights] = min(found.get(weights, most), most)
    return [(list(weights), most) for weights, most in found.items() if any(weights)]
