"""Branches by how many visits and set-ups a stretch of days has: no plan is left out."""

from __future__ import annotations

import pytest

from inspections.planning.bound_by_parts import parts_of
from inspections.planning.capacity import Capacity
from inspections.planning.counted_branches import CountedBranches
from inspections.planning.groups import groups_of
from inspections.planning.house import House
from inspections.planning.linear_bound import Tightening
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import COST, Options
from inspections.planning.solve import plan_year
from tests.inspections.planning.every_plan import best_of_all, small_enough
from tests.inspections.planning.test_bound import part_of_a_year


def tightened(house: House, late: int, rounds: int = 40) -> Tightening:
    year = add_resources(YearModel(house, groups_of(house), Capacity(house)))
    year.cp.add(year.late.expression() <= late)
    tightening = Tightening(year, year.whole_cost())
    tightening.run(20, rounds=rounds)
    return tightening


@pytest.mark.parametrize("cores", [1, 2])
@pytest.mark.parametrize("seed", range(30))
def test_the_best_of_all_plans_is_in_one_of_the_branches(seed: int, cores: int) -> None:
    house = small_enough(seed)
    best = best_of_all(house)
    tightening = tightened(house, best.late_days, rounds=1)
    rows_alone = tightening.found.least
    branches = CountedBranches(tightening, lambda: cores)
    heard: list[int] = []
    branches.promise(5)
    least = branches.run(5, heard.append)
    assert rows_alone <= least <= best.cost
    assert heard == sorted(heard)


def test_it_proves_more_than_rows_alone_and_no_more_than_a_plan_costs() -> None:
    (house,) = [
        part for part in parts_of(part_of_a_year("S", 1, 120)) if len(part.plans) > 20
    ]  # fmt: skip
    planned = plan_year(house, Options(seconds=4, repeatable=True))
    tightening = tightened(house, planned.evaluation.late_days, rounds=6)
    rows_alone = tightening.found.least
    branches = CountedBranches(tightening)
    branches.promise(20)
    assert len(branches.branches) == 2
    heard: list[int] = []
    assert rows_alone < branches.run(6, heard.append) <= planned.stage(COST).value
    assert heard
