"""A year's model with fractions allowed: a linear program, solved by HiGHS. Needs highspy, numpy.

OR-Tools brings HiGHS too, but is slow to write 20,000 rows for it and keeps Python's lock while it
works; here two branches can be solved at once, each on a core of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import compress
from math import inf

import highspy
import numpy as np
from numpy.typing import NDArray

from inspections.planning.model import Terms, YearModel
from inspections.planning.model_rows import rows_of
from inspections.planning.shorter_rows import ShorterRows
from inspections.planning.window_cuts import Cut
from inspections.planning.window_needs import Counts, Values

LARGE = 4_000
"""Columns from which an interior point is faster than walking along the edges, round by round."""
NEARLY_TIGHT = 1e-3

Numbers = NDArray[np.int32]


@dataclass(frozen=True)
class Limits:
    """How many of some variables' sum there may be."""

    vars: tuple[int, ...]
    low: float
    high: float


@dataclass(frozen=True)
class _Rows:
    """Rows one after the other: where each begins, its variables and weights, and its limits."""

    starts: Numbers
    vars: Numbers
    weights: Values
    low: Values
    high: Values

    def and_then(self, other: _Rows) -> _Rows:
        return _Rows(
            np.concatenate([self.starts, other.starts + np.int32(len(self.vars))]),
            np.concatenate([self.vars, other.vars]),
            np.concatenate([self.weights, other.weights]),
            np.concatenate([self.low, other.low]),
            np.concatenate([self.high, other.high]),
        )

    def sums(self, values: Values) -> Values:
        """Of each row; none has no variables."""
        return np.asarray(np.add.reduceat(self.weights * values[self.vars], self.starts))

    def by_column(self, of_rows: Values, columns: int) -> Values:
        """The sum over the rows of what each is worth times a column's weight in it."""
        lengths = np.diff(self.starts, append=len(self.vars))
        worth = self.weights * np.repeat(of_rows, lengths)
        return np.asarray(np.bincount(self.vars, worth, columns))


def _rows(
    rows: Sequence[tuple[Sequence[int] | Counts, Sequence[float] | Values, float, float]],
) -> _Rows:
    rows = [row for row in rows if len(row[0])]
    lengths = [len(row[0]) for row in rows]
    ends = np.cumsum([0, *lengths], dtype=np.int32)
    return _Rows(
        ends[:-1],
        np.concatenate([np.zeros(0, np.int32), *(np.asarray(row[0], np.int32) for row in rows)]),
        np.concatenate([np.zeros(0), *(np.asarray(row[1], np.float64) for row in rows)]),
        np.array([row[2] for row in rows], np.float64),
        np.array([row[3] for row in rows], np.float64),
    )


class Relaxed:
    """The program: the model's rows, those added to it, and what the sum of the aim is at least."""

    def __init__(self, year: YearModel, aim: Terms) -> None:
        variables = year.cp.proto.variables
        self.low = np.array([var.domain[0] for var in variables], np.float64)
        self.high = np.array([v.domain[len(v.domain) - 1] for v in variables], np.float64)
        self.prices, self.constant = np.zeros(len(variables)), float(aim.constant)
        for var, weight in zip(aim.vars, aim.weights, strict=True):
            self.prices[var.index] += weight
        self._own = _rows(
            [([*row.weights], [*row.weights.values()], row.low, row.high) for row in rows_of(year)]
        )
        self._shorter = ShorterRows(year.running, len(variables))
        self.cuts: list[Cut] = []
        self._written: list[Cut] = []

    def add(self, cuts: Sequence[Cut]) -> None:
        self.cuts = [*self.cuts, *cuts]
        self._written += [
            Cut(*self._shorter.written(cut.vars, cut.weights), cut.least) for cut in cuts
        ]

    def drop_loose(self, *plans: Values) -> None:
        """Rows that no longer press in any of these relaxed plans only make the next rounds
        slower."""
        if not self.cuts:
            return
        rows = self._added()
        enough = rows.low + NEARLY_TIGHT * np.maximum(1, np.abs(rows.low))
        pressing = np.any([rows.sums(values) <= enough for values in plans], axis=0)
        self.cuts = list(compress(self.cuts, pressing))
        self._written = list(compress(self._written, pressing))

    def solved(self, seconds: float, limits: Sequence[Limits] = ()) -> tuple[float, Values | None]:
        """What the aim is at least under these limits, and each variable; none and 0 when time runs
        out, none and infinity when there is no plan under the limits. May be asked by two threads
        at once while no rows are added.

        It is solved from the beginning each time: going on from the last basis takes longer on
        these programs, and now and then has no end.
        """
        under = _rows([(*self._sum(one.vars), one.low, one.high) for one in limits])
        rows = self._own.and_then(self._added()).and_then(under)
        solver = self._solver(rows)
        solver.setOptionValue("time_limit", max(0.5, seconds))
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return inf, None
        if status != highspy.HighsModelStatus.kOptimal:
            return 0.0, None
        solution = solver.getSolution()
        return self._proven(rows, np.array(solution.row_dual)), np.array(solution.col_value)

    def _sum(self, numbers: Sequence[int]) -> tuple[Counts, Values]:
        return self._shorter.written(np.array(numbers), np.ones(len(numbers)))

    def _added(self) -> _Rows:
        return _rows([(cut.vars, cut.weights, cut.least, inf) for cut in self._written])

    def _solver(self, rows: _Rows) -> highspy.Highs:
        program = highspy.HighsLp()
        program.num_col_, program.num_row_ = len(self.prices), len(rows.low)
        program.col_cost_, program.offset_ = self.prices, self.constant
        program.col_lower_, program.col_upper_ = self.low, self.high
        program.row_lower_, program.row_upper_ = rows.low, rows.high
        matrix = program.a_matrix_
        matrix.format_ = highspy.MatrixFormat.kRowwise
        matrix.start_ = np.append(rows.starts, np.int32(len(rows.vars)))
        matrix.index_, matrix.value_ = rows.vars, rows.weights
        solver = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("threads", 1)
        solver.setOptionValue("solver", "ipx" if len(self.prices) > LARGE else "simplex")
        solver.passModel(program)
        return solver

    def _proven(self, rows: _Rows, prices: Values) -> float:
        """What these prices of the rows prove by themselves, whatever the solver says: each row
        at its worse limit, and each column where what is left of its price is cheapest."""
        prices = np.where(np.isinf(rows.low), np.minimum(prices, 0), prices)
        prices = np.where(np.isinf(rows.high), np.maximum(prices, 0), prices)
        limits = np.where(prices > 0, rows.low, np.where(prices < 0, rows.high, 0.0))
        left = self.prices - rows.by_column(prices, len(self.prices))
        cheapest = np.where(left > 0, left * self.low, left * self.high)
        return float(self.constant + (prices * limits).sum() + cheapest.sum())
