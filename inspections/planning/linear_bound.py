"""A proven bound from the year's model with fractions allowed, tightened round by round.

Needs OR-Tools and numpy. The linear program is solved, the rows it breaks and no plan does are
added (`window_cuts`), and so on while the time lasts; then branching goes on from there.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from math import ceil, inf
from typing import Any

from ortools.math_opt.python import mathopt  # type: ignore[import-untyped]

from inspections.planning.model import Terms, YearModel
from inspections.planning.window_cuts import Cut, WindowCuts

UNBOUNDED = 2**60
SAFE_SHARE = 1e-6
"""Taken off the result, as floating point is not exact."""
LARGE = 10_000
"""Columns from which an interior point is faster than walking along the edges, round by round."""
ROUNDS, SLOW_ROUNDS, SMALL_STEP = 40, 4, 2e-4
NEARLY_TIGHT = 1e-3


@dataclass
class Bound:
    """What is proven, and the rows that helped to prove it."""

    least: int = 0
    cuts: list[Cut] = field(default_factory=list)


Hear = Callable[[int], None]


def linear_bound(
    year: YearModel, aim: Terms, seconds: float, hear: Hear | None = None, rounds: int = ROUNDS
) -> Bound:
    """No plan of the model has a smaller value than this; 0 when it is not known in the time."""
    return Tightening(year, aim).run(seconds, hear, rounds)


class Tightening:
    """A relaxed model that is tightened round by round, and goes on where it was."""

    def __init__(self, year: YearModel, aim: Terms) -> None:
        self.year, self.aim, self.found = year, aim, Bound()
        self._program: _Program | None = None
        self._values: list[float] | None = None
        self._finder: WindowCuts | None = None
        self._slow = 0

    def run(self, seconds: float, hear: Hear | None = None, rounds: int = ROUNDS) -> Bound:
        """So many rounds more, while the time lasts and they help."""
        end = time.monotonic() + max(1.0, seconds)
        for _ in range(rounds):
            began = time.monotonic()
            if self._values is not None and not self._add_broken(self._values):
                break
            if not self._relax(end - time.monotonic()):
                break
            if hear:
                hear(self.found.least)
            now = time.monotonic()
            if self._slow >= SLOW_ROUNDS or now + (now - began) > end:
                break
        return self.found

    def _relax(self, seconds: float) -> bool:
        self._program = self._program or _Program(self.year, self.aim, whole=False)
        value, values = self._program.relaxed(seconds)
        if values is None:
            return False
        small = _safe(value) < self.found.least * (1 + SMALL_STEP)
        self._slow = self._slow + 1 if small else 0
        self.found.least, self._values = max(self.found.least, _safe(value)), values
        return True

    def _add_broken(self, values: list[float]) -> bool:
        """Rows that the relaxed plan breaks; none: nothing is left to find."""
        self._finder = self._finder or WindowCuts(self.year)
        cuts = self._finder.broken(values)
        if self._program is None or not cuts:
            return False
        self._program.drop_loose(values)
        self._program.add(cuts)
        self.found.cuts = self._program.cuts
        return True


def branched_bound(
    year: YearModel, aim: Terms, bound: Bound, seconds: float, most: int | None = None
) -> int:
    """The bound that branching proves in the time, from the rows found before."""
    end = time.monotonic() + seconds
    program = _Program(year, aim, whole=True)
    program.add(bound.cuts)
    left = end - time.monotonic()
    return max(bound.least, program.branched(left, most)) if left > 1 else bound.least


def _safe(value: float) -> int:
    """Whole numbers of the smallest coin are nowhere below this, so the next one is proven."""
    return max(0, ceil(value - abs(value) * SAFE_SHARE - SAFE_SHARE))


def _tight(cut: Cut, values: Sequence[float]) -> bool:
    return cut.value(values) <= cut.least + NEARLY_TIGHT * max(1, abs(cut.least))


class _Program:
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
            elif row.has_bool_or():
                literals = mathopt.LinearSum(self._literal(one) for one in row.bool_or.literals)
                self.model.add_linear_constraint(literals >= 1)
        goal = mathopt.LinearSum(
            weight * self.columns[var.index]
            for var, weight in zip(aim.vars, aim.weights, strict=True)
        )
        self.model.minimize(goal + aim.constant)
        self._solver: mathopt.IncrementalSolver | None = None

    def _add_row(self, row: Any) -> None:
        low, high = row.domain[0], row.domain[len(row.domain) - 1]
        self.model.add_linear_constraint(
            expr=mathopt.LinearSum(
                weight * self.columns[n] for n, weight in zip(row.vars, row.coeffs, strict=True)
            ),
            lb=low if low > -UNBOUNDED else -inf,
            ub=high if high < UNBOUNDED else inf,
        )

    def _literal(self, literal: int) -> Any:
        return self.columns[literal] if literal >= 0 else 1 - self.columns[-literal - 1]

    def add(self, cuts: Sequence[Cut]) -> None:
        for cut in cuts:
            weights = cut.weights.items()
            total = mathopt.LinearSum(weight * self.columns[n] for n, weight in weights)
            self._cuts.append((cut, self.model.add_linear_constraint(total >= cut.least)))

    def drop_loose(self, values: Sequence[float]) -> None:
        """Rows that no longer press only make the next rounds slower."""
        pressing = []
        for cut, row in self._cuts:
            if _tight(cut, values):
                pressing.append((cut, row))
            else:
                self.model.delete_linear_constraint(row)
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
        values = result.variable_values()
        return result.objective_value(), [values[column] for column in self.columns]

    def branched(self, seconds: float, most: int | None) -> int:
        """What branching proves; with `most` it need not look at anything dearer."""
        parameters = mathopt.SolveParameters(time_limit=timedelta(seconds=max(1.0, seconds)))
        if most is not None:
            parameters.cutoff_limit = float(most)
        result = mathopt.solve(self.model, mathopt.SolverType.HIGHS, params=parameters)
        proven = result.termination.objective_bounds.dual_bound
        return _safe(proven) if proven not in (inf, -inf) else 0
