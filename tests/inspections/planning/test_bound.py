"""The rows that raise the bound hold for real plans of houses too large to try every plan of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from ortools.sat.python import cp_model

from bench.planner.houses import synthetic_house
from inspections.planning.annealing.search import LocalSearch
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit, earliest_fit
from inspections.planning.groups import Group, groups_of
from inspections.planning.house import House, Task
from inspections.planning.late_at_first import until
from inspections.planning.linear_bound import linear_bound
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.solver import counts_of
from inspections.planning.window_needs import Values


def part_of_a_year(size: str, seed: int, days: int = 90) -> House:
    """The first months of a synthetic house with every second plan."""
    house = synthetic_house(size, seed)
    return replace(until(house, days), plans=house.plans[::2])


def searched(house: House, groups: list[Group], capacity: Capacity) -> list[Task]:
    start = cheapest_fit(house, groups, capacity)
    return LocalSearch(house, groups, capacity, start, seed=2).run(300)


def values_of(year: YearModel, tasks: list[Task]) -> Values:
    """What every variable of the model is in this plan."""
    counts = counts_of(year, tasks)
    fixed = year.cp.clone()
    for key, var in year.begun.items():
        fixed.add(fixed.get_int_var_from_proto_index(var.index) == counts[key])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(fixed) == cp_model.OPTIMAL
    return np.array(solver.response_proto.solution, dtype=np.float64)


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("make", [earliest_fit, cheapest_fit, searched])
def test_every_row_found_holds_for_plans_that_people_and_the_search_make(
    seed: int, make: Callable[[House, list[Group], Capacity], list[Task]]
) -> None:
    house = part_of_a_year("S", seed)
    groups, capacity = groups_of(house), Capacity(house)
    tasks = make(house, groups, capacity)
    judged = evaluate(house, tasks)
    assert judged.faults == ()
    year = add_resources(YearModel(house, groups, capacity))
    year.cp.add(year.late.expression() <= judged.late_days)
    whole = year.whole_cost()
    heard: list[int] = []
    found = linear_bound(year, whole, 60, heard.append, rounds=3)
    assert len(found.cuts) > 50
    assert 0 < heard[0] < found.least <= judged.cost
    # The least lateness and cost of these tasks: what is late or early is what it must be.
    year.cp.minimize((10**6 * year.late.expression()) + whole.expression())
    values = values_of(year, tasks)
    assert all(cut.value(values) >= cut.least for cut in found.cuts)
