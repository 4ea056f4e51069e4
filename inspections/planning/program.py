"""A year's model as a linear program or one in whole numbers. Needs OR-Tools.

Whole numbers are branched on by SCIP, which comes with OR-Tools: on these models it proved in
seconds what the others beside it had not in minutes (docs/year-planner.md).
"""

from __future__ import annotations

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
LARGE = 10_000
"""Columns from which an interior point is faster than walking along the edges, round by round."""
NEARLY_TIGHT = 1e-3

Key = tuple[int, int]
"""A group and the half-day in which some of it begin."""


def safe(value: float) -> int:
    """Whole numbers of the smallest coin are nowhere below this, so the next one is proven."""
    return max(0, ceil(value - abs(value) * SAFE_SHARE - SAFE_SHARE))


def _tight(cut: Cut, values: Sequence[float]) -> bool:
    return cut.value(values) <= cut.least + NEARLY_TIGHT * max(1, abs(cut.least))


@dataclass(frozen=True)
class Row:
    """Weights of variables, and what their sum is at least and at most."""

    weights: Mapping[int, float]
    low: float
    high: float
    written: mathopt.LinearConstraint


class Program:
    """The model's variables and rows, as whole numbers or not."""

    def __init__(self, year: YearModel, aim: Terms, *, whole: bool) -> None:
        self.model = mathopt.Model()
        self._cuts: list[tuple[Cut, Row]] = []
        self._rows: list[Row] = []
        self.columns = [
            self.model.add_variable(
                lb=var.domain[0], ub=var.domain[len(var.domain) - 1], is_integer=whole
            )
            for var in year.cp.proto.variables
        ]
        for row in year.cp.proto.constraints:
            if row.has_linear() and not len(row.enforcement_literal):
                self._add_row(row.linear)
            elif row.has_bool_or():
                self._add_either(row.bool_or.literals)
        self.prices = {
            var.index: float(weight) for var, weight in zip(aim.vars, aim.weights, strict=True)
        }
        self.price(self.prices, aim.constant)
        self._solver: mathopt.IncrementalSolver | None = None

    def price(self, prices: Mapping[int, float], constant: float = 0.0) -> None:
        """What is to be made smallest."""
        goal = mathopt.LinearSum(price * self.columns[n] for n, price in prices.items())
        self.model.minimize(goal + constant)
        self.constant = constant

    def _write(self, weights: Mapping[int, float], low: float, high: float = inf) -> Row:
        total = mathopt.LinearSum(weight * self.columns[n] for n, weight in weights.items())
        return Row(
            weights, low, high, self.model.add_linear_constraint(expr=total, lb=low, ub=high)
        )

    def _add_row(self, row: Any) -> None:
        low, high = row.domain[0], row.domain[len(row.domain) - 1]
        weights: dict[int, float] = {}
        for n, weight in zip(row.vars, row.coeffs, strict=True):
            weights[n] = weights.get(n, 0) + weight
        least, most = low if low > -UNBOUNDED else -inf, high if high < UNBOUNDED else inf
        self._rows.append(self._write(weights, least, most))

    def _add_either(self, literals: Sequence[int]) -> None:
        """One of these holds; a negative number stands for one that does not."""
        weights = {n if n >= 0 else -n - 1: 1.0 if n >= 0 else -1.0 for n in literals}
        self._rows.append(self._write(weights, 1 - sum(n < 0 for n in literals)))

    @property
    def rows(self) -> list[Row]:
        """All rows, those that were added among them."""
        return [*self._rows, *(row for _, row in self._cuts)]

    def add(self, cuts: Sequence[Cut]) -> None:
        self._cuts += [(cut, self._write(cut.weights, cut.least)) for cut in cuts]

    def drop_loose(self, values: Sequence[float]) -> None:
        """Rows that no longer press only make the next rounds slower."""
        pressing = []
        for cut, row in self._cuts:
            if _tight(cut, values):
                pressing.append((cut, row))
            else:
                self.model.delete_linear_constraint(row.written)
        self._cuts = pressing

    @property
    def cuts(self) -> list[Cut]:
        return [cut for cut, _ in self._cuts]

    def relaxed(self, seconds: float) -> tuple[float, list[float] | None]:
        """The value of the linear program and of each variable; none when time runs out."""
        large = len(self.columns) > LARGE
        if self._solver is None:
            solver = mathopt.SolverType.HIGHS if large else mathopt.SolverType.GLOP
            self._solver = mathopt.IncrementalSolver(self.model, solver)
        ways = mathopt.LPAlgorithm
        result = self._solver.solve(
            params=mathopt.SolveParameters(
                time_limit=timedelta(seconds=max(0.5, seconds)),
                lp_algorithm=ways.BARRIER if large else ways.DUAL_SIMPLEX,
            )
        )
        if result.termination.reason != mathopt.TerminationReason.OPTIMAL:
            return 0.0, None
        values, duals = result.variable_values(), result.dual_values()
        self.duals = [duals[row.written] for row in self.rows]
        return result.objective_value(), [values[column] for column in self.columns]

    def branched(self, seconds: float, most: int | None) -> int:
        """What branching proves; with `most` it need not look at anything dearer."""
        parameters = mathopt.SolveParameters(time_limit=timedelta(seconds=max(1.0, seconds)))
        if most is not None:
            parameters.cutoff_limit = float(most)
        result = mathopt.solve(self.model, mathopt.SolverType.GSCIP, params=parameters)
        proven = result.termination.objective_bounds.dual_bound
        return safe(proven) if proven not in (inf, -inf) else 0

    def improved(self, year: YearModel, counts: Mapping[Key, int], seconds: float) -> Improved:
        """The best plan found from the one at hand, of those that the bounds leave free."""
        hint = mathopt.SolutionHint(
            variable_values={
                self.columns[var.index]: float(counts.get(key, 0))
                for key, var in year.begun.items()
            }
        )
        result = mathopt.solve(
            self.model,
            mathopt.SolverType.GSCIP,
            params=mathopt.SolveParameters(time_limit=timedelta(seconds=max(0.5, seconds))),
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
