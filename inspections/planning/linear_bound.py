"""A bound at once: the year's model with fractions allowed, solved as a linear program.

Needs OR-Tools. Seconds where the search takes minutes to prove as much.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor
from typing import Any

from ortools.linear_solver.python import model_builder

from inspections.planning.model import Terms, YearModel

Columns = Sequence[model_builder.Variable]
UNBOUNDED = 2**60
SAFE_SHARE = 1e-6
"""Taken off the result, as floating point is not exact."""


def linear_bound(year: YearModel, aim: Terms, seconds: float) -> int:
    """No plan of the model has a smaller value than this; 0 when it is not known in the time."""
    program = model_builder.Model()
    columns = [
        program.new_var(var.domain[0], var.domain[len(var.domain) - 1], False, "")
        for var in year.cp.proto.variables
    ]
    for row in year.cp.proto.constraints:
        if row.has_linear() and not len(row.enforcement_literal):
            _add_row(program, columns, row.linear)
        elif row.has_bool_or():
            program.add(sum(_literal(columns, one) for one in row.bool_or.literals) >= 1)
    vars_of_aim = [columns[var.index] for var in aim.vars]
    weights = [float(weight) for weight in aim.weights]
    program.minimize(model_builder.LinearExpr.weighted_sum(vars_of_aim, weights) + aim.constant)
    solver = model_builder.Solver("glop")
    solver.set_time_limit_in_seconds(max(1.0, seconds))
    if solver.solve(program) != model_builder.SolveStatus.OPTIMAL:
        return 0
    value = solver.objective_value
    return max(0, floor(value - abs(value) * SAFE_SHARE))


def _add_row(program: model_builder.Model, columns: Columns, row: Any) -> None:
    low, high = row.domain[0], row.domain[len(row.domain) - 1]
    total = model_builder.LinearExpr.weighted_sum([columns[n] for n in row.vars], list(row.coeffs))
    if low > -UNBOUNDED:
        program.add(total >= low)
    if high < UNBOUNDED:
        program.add(total <= high)


def _literal(columns: Columns, literal: int) -> Any:
    return columns[literal] if literal >= 0 else 1 - columns[-literal - 1]
