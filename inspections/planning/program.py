"""A year's model in whole numbers, for solvers that branch. Needs OR-Tools.

Whole numbers are branched on by SCIP, which comes with OR-Tools: on these models it proved in
seconds what the others beside it had not in minutes. Parts of a plan that are planned anew go to
HiGHS where that was faster (docs/year-planner.md).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from math import inf

from ortools.math_opt.python import mathopt  # type: ignore[import-untyped]

from inspections.planning.model import Terms, YearModel
from inspections.planning.model_rows import rows_of, safe
from inspections.planning.window_cuts import Cut

SMALLEST_GAP = 1e-6
"""A plan of a million coins is not the best yet when one coin is missing."""

Key = tuple[int, int]
"""A group and the half-day in which some of it begin."""


def _limited(seconds: float) -> mathopt.SolveParameters:
    return mathopt.SolveParameters(time_limit=timedelta(seconds=seconds))


class Program:
    """The model's variables and rows."""

    def __init__(self, year: YearModel, aim: Terms) -> None:
        self.model = mathopt.Model()
        self.columns = [
            self.model.add_variable(
                lb=var.domain[0], ub=var.domain[len(var.domain) - 1], is_integer=True
            )
            for var in year.cp.proto.variables
        ]
        for row in rows_of(year):
            self._write(row.weights.items(), row.low, row.high)
        goal = mathopt.LinearSum(
            weight * self.columns[var.index]
            for var, weight in zip(aim.vars, aim.weights, strict=True)
        )
        self.model.minimize(goal + aim.constant)

    def _write(self, weights: Iterable[tuple[int, float]], low: float, high: float = inf) -> None:
        total = mathopt.LinearSum(weight * self.columns[n] for n, weight in weights)
        self.model.add_linear_constraint(expr=total, lb=low, ub=high)

    def add(self, cuts: Sequence[Cut]) -> None:
        for cut in cuts:
            self._write(zip(cut.vars.tolist(), cut.weights.tolist(), strict=True), cut.least)

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
