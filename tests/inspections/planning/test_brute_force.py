"""On tiny houses the planner is as good as trying every plan there is.

`python bench/brute_force.py --houses 500` does the same with more of them.
"""

from __future__ import annotations

import pytest

from inspections.planning.capacity import Capacity
from inspections.planning.groups import groups_of
from inspections.planning.linear_bound import branched_bound, linear_bound
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import COST, LATE, Options
from inspections.planning.solve import plan_year
from tests.inspections.planning.every_plan import best_of_all, small_enough

HOUSES = 100


@pytest.mark.parametrize("seed", range(HOUSES))
def test_no_plan_at_all_is_better(seed: int) -> None:
    house = small_enough(seed)
    outcome = plan_year(house, Options(seconds=4, repeatable=True))
    best = best_of_all(house)
    assert outcome.evaluation.faults == ()
    assert outcome.evaluation.rank == best.rank
    assert outcome.stage(LATE).bound <= best.late_days
    assert outcome.stage(COST).bound <= best.cost


@pytest.mark.parametrize("seed", range(30))
def test_every_bound_is_below_the_best_of_all_plans(seed: int) -> None:
    house = small_enough(seed)
    best = best_of_all(house)
    year = add_resources(YearModel(house, groups_of(house), Capacity(house)))
    assert linear_bound(year, year.late, 5).least <= best.late_days
    year.cp.add(year.late.expression() <= best.late_days)
    year.cp.add(year.moved.expression() <= best.moved)
    found = linear_bound(year, year.whole_cost(), 5)
    assert 0 < found.least <= best.cost
    assert found.least <= branched_bound(year, year.whole_cost(), found, 5) <= best.cost
