"""A year's model as a linear program or one in whole numbers. Needs OR-Tools.

Whole numbers are branched on by SCIP, which comes with OR-Tools: on these models it proved in
seconds what the others beside it had not in minutes. Parts of a plan that are planned anew go to
HiGHS where that was faster (docs/year-planner.md).
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from math import ceil, inf
from typing import Any

from ortools.math_opt.python import mathopt  # type: ignore[import-untyped]

from inspections.planning.model import Terms, YearModel
from inspections.planning.window_cuts import Cut

UNBOUNDED = 2**60
SAFE_SHARE = 1e-6
"""Taken off the result, as floating point is not exact."""
LARGE = 4_000
"""Columns from which an interior point is faster than walking along the edges, round by round."""
NEARLY_TIGHT = 1e-3
SMALLEST_GAP = 1e-6
"""A plan of a million coins is not the best yet when one coin is missing."""

Key = tuple[int, int]
"""A group and the half-day in which some of it begin."""


@dataclass(frozen=True)
class Limits:
    """How many of some variables' sum there may be."""

    vars: tuple[int, ...]
    low: float
    high: float


def safe(value: float) -> int:
    """Whole numbers of the smallest coin are nowhere below this, so the next one is proven."""
    return max(0, ceil(value - abs(value) * SAFE_SHARE - SAFE_SHARE))


def _tight(cut: Cut, values: Sequence[float]) -> bool:
    return cut.value(values) <= cut.least + NEARLY_TIGHT * max(1, abs(cut.least))


_EDGES = (mathopt.SolverType.GLOP, mathopt.LPAlgorithm.DUAL_SIMPLEX)
_INSIDE = (mathopt.SolverType.HIGHS, mathopt.LPAlgorithm.BARRIER)


def _limited(seconds: float, way: mathopt.LPAlgorithm | None = None) -> mathopt.SolveParameters:
    return mathopt.SolveParameters(time_limit=timedelta(seconds=seconds), lp_algorithm=way)


class Program:
    """The model's variables and rows, as whole numbers or not."""

    def __init__(self, year: YearModel, aim: Terms, *, whole: bool) -> None:
        self.model = mathopt.Model()
        self._cuts: list[tuple[Cut, mathopt.LinearConstraint]] = []
        self.columns = [
            self.model.add_variable(
                lb=var.domain[0], ub=var.domain[len(var.domain) - 1], is_integer=whole
            )
            for var in year.cp.proto.variables
        ]
        for row in year.cp.proto.constraints:
            if row.has_linear() and not len(row.enforcement_literal):
                self._add_row(row.linear)
            elif row.has_bool_or() and not len(row.enforcement_literal):
                self._add_either(row.bool_or.literals)
        goal = mathopt.LinearSum(
            weight * self.columns[var.index]
            for var, weight in zip(aim.vars, aim.weights, strict=True)
        )
        self.model.minimize(goal + aim.constant)

    def _write(self, weights: Mapping[int, float], low: float, high: float = inf) -> Any:
        total = mathopt.LinearSum(weight * self.columns[n] for n, weight in weights.items())
        return self.model.add_linear_constraint(expr=total, lb=low, ub=high)

    def _add_row(self, row: Any) -> None:
        low, high = row.domain[0], row.domain[len(row.domain) - 1]
        weights: dict[int, float] = {}
        for n, weight in zip(row.vars, row.coeffs, strict=True):
            weights[n] = weights.get(n, 0) + weight
        least, most = low if low > -UNBOUNDED else -inf, high if high < UNBOUNDED else inf
        self._write(weights, least, most)

    def _add_either(self, literals: Sequence[int]) -> None:
        """One of these holds; a negative number stands for one that does not."""
        weights = {n if n >= 0 else -n - 1: 1.0 if n >= 0 else -1.0 for n in literals}
        self._write(weights, 1 - sum(n < 0 for n in literals))

    def add(self, cuts: Sequence[Cut]) -> None:
        self._cuts += [(cut, self._write(cut.weights, cut.least)) for cut in cuts]

    def drop_loose(self, *plans: Sequence[float]) -> None:
        """Rows that no longer press in any of these relaxed plans only make the next rounds
        slower."""
        pressing = []
        for cut, row in self._cuts:
            if any(_tight(cut, values) for values in plans):
                pressing.append((cut, row))
            else:
                self.model.delete_linear_constraint(row)
        self._cuts = pressing

    @property
    def cuts(self) -> list[Cut]:
        return [cut for cut, _ in self._cuts]

    def relaxed(
        self, seconds: float, limits: Sequence[Limits] = ()
    ) -> tuple[float, list[float] | None]:
        """The value of the linear program under these limits and of each variable; none and 0 when
        time runs out, none and infinity when there is no plan under the limits.

        It is solved from the beginning each time: going on from the last basis takes longer on
        these programs, and now and then has no end.
        """
        rows = [self._write(dict.fromkeys(one.vars, 1.0), one.low, one.high) for one in limits]
        try:
            return self._relaxed(seconds)
        finally:
            for row in rows:
                self.model.delete_linear_constraint(row)

    def _relaxed(self, seconds: float) -> tuple[float, list[float] | None]:
        end = time.monotonic() + seconds
        ways = (_EDGES, _INSIDE) if len(self.columns) <= LARGE else (_INSIDE,)
        for solver, way in ways:
            left = max(0.5, end - time.monotonic())
            allowed = left / 2 if (solver, way) != ways[-1] else left
            result = mathopt.solve(self.model, solver, params=_limited(allowed, way))
            if result.termination.reason == mathopt.TerminationReason.OPTIMAL:
                values = result.variable_values()
                return result.objective_value(), [values[column] for column in self.columns]
            if result.termination.reason == mathopt.TerminationReason.INFEASIBLE:
                return inf, None
        return 0.0, None

    def branched(self, seconds: float, most: int | None) -> int:
        """What branching proves; with `most` it need not look at anything dearer."""
        parameters = _limited(max(1.0, seconds))
        # Plans are looked for elsewhere.
        parameters.heuristics = mathopt.Emphasis.OFF
        if most is not None:
            parameters.cutoff_limit = float(most)
        result = mathopt.solve(self.model, mathopt.SolverType.GSCIP, params=parameters)
        proven = result.termination.objective_bounds.dual_bound
        return safe(proven) if proven not in (inf, -inf) else 0

    def improved(
        self,
        year: YearModel,
        counts: Mapping[Key, int],
        seconds: float,
        solver: mathopt.SolverType = mathopt.SolverType.GSCIP,
    ) -> Improved:
        """The best plan found from the one at hand, of those that the bounds leave free."""
        hint = mathopt.SolutionHint(
            variable_values={
                self.columns[var.index]: float(counts.get(key, 0))
                for key, var in year.begun.items()
            }
        )
        limits = _limited(max(0.5, seconds))
        limits.relative_gap_tolerance = SMALLEST_GAP
        result = mathopt.solve(
            self.model,
            solver,
            params=limits,
            model_params=mathopt.ModelSolveParameters(solution_hints=[hint]),
        )
        proven = result.termination.reason == mathopt.TerminationReason.OPTIMAL
        if not result.has_primal_feasible_solution():
            return Improved(None, {}, proven)
        values = result.variable_values()
        found = {key: round(values[self.columns[v.index]]) for key, v in year.begun.items()}
        value = round(result.objective_value())
        return Improved(value, {key: n for key, n in found.items() if n}, proven)

    def hold(self, var: int, low: int, high: int) -> None:
        """The bounds of one variable."""
        self.columns[var].lower_bound, self.columns[var].upper_bound = low, high


@dataclass(frozen=True)
class Improved:
    """What whole numbers gave: nothing or a plan, and whether there is none better."""

    value: int | None
    counts: dict[Key, int]
    proven: bool
