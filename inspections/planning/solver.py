"""One aim of a model minimised within a time, from a plan to start with. Needs OR-Tools."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import ceil
from typing import Any

from ortools.sat.python import cp_model

from inspections.planning.hand_out import Counts
from inspections.planning.house import Task
from inspections.planning.model import Terms, YearModel
from inspections.planning.outcome import Options

DETERMINISTIC_PER_SECOND = 0.6
"""The solver's own time runs at about this share of a second on a plain machine."""
HINT_SECONDS = 5.0
NO_BOUND = -(2**60)
ROUNDING = 1e-6


@dataclass(frozen=True)
class Solved:
    """What a solve gave: nothing, a plan, perhaps a proof."""

    status: str
    value: int | None
    bound: int
    counts: dict[tuple[int, int], int]

    @property
    def proven(self) -> bool:
        return self.status == "OPTIMAL"


def minimise(
    year: YearModel,
    aim: Terms,
    seconds: float,
    options: Options,
    found: Callable[[Counts, int], None] | None = None,
    start: Iterable[Task] = (),
) -> Solved:
    """The smallest value of an aim, and what is proven about it."""
    year.cp.minimize(aim.expression())
    if start:
        start_from(year, start, options)
    solver = _solver(seconds, options)
    listener = _Listener(year, found) if found else None
    return _solved(year, solver, solver.solve(year.cp, listener))


def _solved(year: YearModel, solver: cp_model.CpSolver, status: Any) -> Solved:
    name = solver.status_name(status)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        bound = NO_BOUND if status == cp_model.INFEASIBLE else _bound(solver)
        return Solved(name, None, bound, {})
    counts = {key: value for key, var in year.begun.items() if (value := solver.value(var))}
    return Solved(name, round(solver.objective_value), _bound(solver), counts)


def _bound(solver: cp_model.CpSolver) -> int:
    bound = solver.best_objective_bound
    return NO_BOUND if bound < NO_BOUND else ceil(bound - ROUNDING)


def _solver(seconds: float, options: Options) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.random_seed = options.seed
    parameters.linearization_level = 2 if options.repeatable else 1
    parameters.max_memory_in_mb = options.memory_mb
    parameters.num_workers = 1 if options.repeatable else options.workers
    if options.repeatable:
        parameters.max_deterministic_time = seconds * DETERMINISTIC_PER_SECOND
    else:
        parameters.max_time_in_seconds = max(0.1, seconds)
    return solver


class _Listener(cp_model.CpSolverSolutionCallback):
    """Hands on each better plan, at most two a second."""

    def __init__(self, year: YearModel, found: Callable[[Counts, int], None]) -> None:
        super().__init__()
        self._year, self._found, self._last = year, found, 0.0

    def on_solution_callback(self) -> None:
        now = time.monotonic()
        if now - self._last < 0.5:
            return
        self._last = now
        counts = {key: v for key, var in self._year.begun.items() if (v := self.value(var))}
        self._found(counts, ceil(max(NO_BOUND, self.best_objective_bound) - ROUNDING))


def counts_of(year: YearModel, tasks: Iterable[Task]) -> Counter[tuple[int, int]]:
    """A plan as counts of the model's groups."""
    group_of = {plan.key: group.number for group in year.groups for plan in group.members}
    return Counter((group_of[t.plan], t.slot) for t in tasks if t.plan in group_of)


def start_from(year: YearModel, tasks: Iterable[Task], options: Options) -> None:
    """Give the solver a plan to begin with: its counts, and all that follows from them.

    A hint that leaves open what follows from it is often lost, so the rest is solved for first.
    """
    counts = counts_of(year, tasks)
    fixed = year.cp.clone()
    for key, var in year.begun.items():
        fixed.add(fixed.get_int_var_from_proto_index(var.index) == min(counts[key], year.most[key]))
    # Everything follows from the counts: one worker sees that as soon as many.
    solver = _solver(HINT_SECONDS, replace(options, workers=1))
    year.cp.clear_hints()
    if solver.solve(fixed) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        for index, value in enumerate(solver.response_proto.solution):
            year.cp.add_hint(year.cp.get_int_var_from_proto_index(index), value)
        return
    for key, var in year.begun.items():
        year.cp.add_hint(var, min(counts[key], year.most[key]))
