"""The smallest set of demands that cannot all hold, each proven needed. Needs OR-Tools."""

from __future__ import annotations

import time
from collections.abc import Sequence

from ortools.sat.python import cp_model

from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group, groups_of
from inspections.planning.house import House
from inspections.planning.late_alone import late_alone
from inspections.planning.model import YearModel
from inspections.planning.model_resources import (
    EXAMINERS,
    LOCKS,
    ORDER,
    PEOPLE,
    RULES,
    ZONES,
    add_resources,
)
from inspections.planning.outcome import Options

RULE_WORDS = {
    EXAMINERS: "an examiner's day holds only so many hours",
    ZONES: "two zones never share a half-day",
    ORDER: "the order of work on a day",
    PEOPLE: "the hours of people",
    LOCKS: "the tasks that are locked",
}
Demand = tuple[str, int]
"""("on time", group number) or (a rule of the house, 0)."""


def smallest_reasons(
    house: House, options: Options, seconds: float
) -> tuple[tuple[str, ...], bool]:
    """Demands that cannot all hold while any one less can, in words; and whether that is proven.

    A plan that is late alone needs no other demand. Else the solver's own core may be none or too
    large, so it is only where the search begins.
    """
    began, groups = time.monotonic(), groups_of(house)
    alone = late_alone(house, groups, Capacity(house), house.plan_of)
    for group in groups:
        if any(plan.key in alone for plan in group.members):
            return (_words(groups, ("on time", group.number)),), True
    core = _core(house, groups, options, seconds / 4)
    if core is None:
        return (), False
    kept, proven = list(core), True
    for demand in core:
        if not options.repeatable and time.monotonic() - began > seconds:
            return tuple(_words(groups, demand) for demand in kept), False
        rest = [other for other in kept if other != demand]
        possible = _possible(house, groups, rest, options, seconds / (2 * len(core)))
        if possible is False:
            kept = rest
        proven = proven and possible is not None
    return tuple(_words(groups, demand) for demand in kept), proven


def _core(
    house: House, groups: Sequence[Group], options: Options, seconds: float
) -> list[Demand] | None:
    """Some demands that cannot all hold; None if that is not proven in the time."""
    year = add_resources(YearModel(house, groups, Capacity(house)))
    literals: dict[int, int] = {}
    for group in groups:
        literal = year.cp.new_bool_var(f"on time {group.number}")
        _on_time(year, group.number, literal)
        literals[literal.index] = group.number
        year.cp.add_assumption(literal)
    solver = _feasibility(options, seconds)
    if solver.solve(year.cp) != cp_model.INFEASIBLE:
        return None
    named = [
        literals[i] for i in solver.sufficient_assumptions_for_infeasibility() if i in literals
    ]
    numbers = named or [group.number for group in groups]
    return [("on time", number) for number in numbers] + [(rule, 0) for rule in RULES]


def _on_time(year: YearModel, number: int, literal: cp_model.IntVar | None) -> None:
    terms = year.late_of[number]
    row = year.cp.add(terms.expression() <= 0)
    if literal is not None:
        row.only_enforce_if(literal)


def _possible(
    house: House,
    groups: Sequence[Group],
    demands: Sequence[Demand],
    options: Options,
    seconds: float,
) -> bool | None:
    """Whether a plan keeps all of these demands; None: not known in the time."""
    rules = {name for name, _ in demands}
    without = frozenset(rule for rule in RULES if rule not in rules)
    numbers = {number for name, number in demands if name == "on time"}
    asked = [group for group in groups if group.number in numbers or LOCKS in rules]
    year = add_resources(YearModel(house, asked, Capacity(house)), without)
    for number in sorted(numbers):
        _on_time(year, number, None)
    status = _feasibility(options, seconds).solve(year.cp)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return True
    return False if status == cp_model.INFEASIBLE else None


def _feasibility(options: Options, seconds: float) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = options.seed
    solver.parameters.max_memory_in_mb = options.memory_mb
    solver.parameters.max_deterministic_time = max(0.5, seconds)
    solver.parameters.max_time_in_seconds = max(2.0, 3 * seconds)
    return solver


def _words(groups: Sequence[Group], demand: Demand) -> str:
    name, number = demand
    if name != "on time":
        return RULE_WORDS[name]
    group = next(group for group in groups if group.number == number)
    plan = group.pattern
    needs = sorted(plan.access) + ([f"examiner ({plan.examiner})"] if plan.examiner else [])
    asked = f", which needs {', '.join(needs)}" if needs else ""
    whose = plan.key if group.size == 1 else f"{plan.kind} ({group.size} of them)"
    return f"{whose} on time{asked}"
