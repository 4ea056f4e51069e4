"""The linear program of a year: what it proves is proven by its own prices, and rows written with
running totals say the same as before."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from ortools.linear_solver import pywraplp

from inspections.planning.bound_by_parts import parts_of
from inspections.planning.capacity import Capacity
from inspections.planning.groups import groups_of
from inspections.planning.model import Running, YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.model_rows import rows_of
from inspections.planning.relaxed import Limits, Relaxed
from inspections.planning.shorter_rows import ShorterRows
from inspections.planning.window_cuts import WindowCuts
from tests.inspections.planning.test_bound import part_of_a_year


def year_of(seed: int) -> YearModel:
    house = max(parts_of(part_of_a_year("S", seed)), key=lambda part: len(part.plans))
    year = add_resources(YearModel(house, groups_of(house), Capacity(house)))
    year.cp.add(year.late.expression() <= 0)
    return year


def solved_by_glop(year: YearModel) -> float:
    """The same program, written row by row for a solver that walks along the edges."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    columns = [
        solver.NumVar(var.domain[0], var.domain[len(var.domain) - 1], "")
        for var in year.cp.proto.variables
    ]
    for row in rows_of(year):
        written = solver.RowConstraint(row.low, row.high, "")
        for n, weight in row.weights.items():
            written.SetCoefficient(columns[n], weight)
    whole = year.whole_cost()
    terms = zip(whole.vars, whole.weights, strict=True)
    solver.Minimize(sum(weight * columns[var.index] for var, weight in terms) + whole.constant)
    assert solver.Solve() == pywraplp.Solver.OPTIMAL
    return float(solver.Objective().Value())


@pytest.mark.parametrize("seed", range(3))
def test_it_finds_what_another_solver_finds(seed: int) -> None:
    year = year_of(seed)
    value, values = Relaxed(year, year.whole_cost()).solved(30)
    assert values is not None
    assert value == pytest.approx(solved_by_glop(year), rel=1e-6)
    whole = year.whole_cost()
    cost = sum(w * values[var.index] for var, w in zip(whole.vars, whole.weights, strict=True))
    assert cost + whole.constant == pytest.approx(value, rel=1e-6)


def test_limits_that_leave_no_plan_are_told_apart_from_time_that_is_over() -> None:
    year = year_of(1)
    program = Relaxed(year, year.whole_cost())
    (first, *_), number = year.totals[year.groups[0].number][1], year.groups[0].size
    assert program.solved(30, [Limits((first.index,), number + 1, inf)]) == (inf, None)
    value, values = program.solved(30, [Limits((first.index,), 0, 0)])
    assert values is not None
    assert values[first.index] == pytest.approx(0, abs=1e-6)
    assert value >= program.solved(30)[0] - 1e-3


def test_a_wrong_price_of_a_row_proves_less_and_nothing_wrong() -> None:
    year = year_of(1)
    program = Relaxed(year, year.whole_cost())
    value, _ = program.solved(30)
    random = np.random.default_rng(1)
    rows = program._own
    for size in (0.0, 1.0, 100.0, 10_000.0):
        prices = random.normal(0, 1, len(rows.low)) * size
        assert program._proven(rows, prices) <= value + 1e-3


def test_rows_found_in_a_year_are_shorter_and_say_the_same() -> None:
    year = year_of(1)
    program = Relaxed(year, year.whole_cost())
    _, values = program.solved(30)
    assert values is not None
    cuts = WindowCuts(year).broken(values)
    assert len(cuts) > 50
    shorter = ShorterRows(year.running, len(program.prices))
    random = np.random.default_rng(1)
    tried = random.random(len(program.prices))
    for one in year.running:
        for before, total, parts in zip(
            (None, *one.totals), one.totals, one.parts, strict=False
        ):  # fmt: skip
            tried[total] = tried[list(parts)].sum() + (0 if before is None else tried[before])
    for cut in cuts:
        numbers, weights = shorter.written(cut.vars, cut.weights)
        assert len(numbers) <= len(cut.vars)
        assert len(set(numbers.tolist())) == len(numbers)
        assert weights @ tried[numbers] == pytest.approx(cut.value(tried))
    written = [len(shorter.written(cut.vars, cut.weights)[0]) for cut in cuts]
    assert sum(written) < 0.8 * sum(len(cut.vars) for cut in cuts)


# Three days: the first has one part (0), the second two (1, 2), the third one (3); their totals are
# 4, 5 and 6. Another sum of two days has 7 and 8, with totals 9 and 10.
RUNNING = [Running((4, 5, 6), ((0,), (1, 2), (3,))), Running((9, 10), ((7,), (8,)))]


@pytest.mark.parametrize(
    ("row", "written"),
    [
        ({0: 2, 1: 2, 2: 2, 3: 2}, {6: 2}),
        ({1: 2, 2: 2, 3: 2}, {6: 2, 4: -2}),
        # Half of a day, or one day weighed otherwise, is no run.
        ({0: 2, 1: 2, 3: 2}, {0: 2, 1: 2, 3: 2}),
        ({0: 2, 1: 2, 2: 3, 3: 2}, {0: 2, 1: 2, 2: 3, 3: 2}),
        ({0: 1, 1: 2, 2: 2, 3: 2}, {0: 1, 6: 2, 4: -2}),
        # One run ends where another begins: the total between them is told once.
        ({0: 5, 1: 5, 2: 5, 3: 2}, {5: 5, 3: 2}),
        ({7: 1, 8: 1}, {7: 1, 8: 1}),
        # Two weights are as short as two totals, but a sum from the beginning needs only one.
        ({3: 1, 7: 1, 8: 1}, {3: 1, 10: 1}),
        ({11: 4}, {11: 4}),
    ],
)
def test_a_run_of_days_is_the_difference_of_two_totals(
    row: dict[int, int], written: dict[int, int]
) -> None:
    numbers, weights = ShorterRows(RUNNING, 12).written(
        np.array(list(row)), np.array(list(row.values()), dtype=np.float64)
    )
    assert dict(zip(numbers.tolist(), weights.tolist(), strict=True)) == written
