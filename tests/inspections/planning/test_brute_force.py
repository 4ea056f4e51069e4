"""On tiny houses the planner is as good as trying every plan there is."""

from __future__ import annotations

from itertools import chain, combinations

import pytest

from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.groups import groups_of
from inspections.planning.house import House, Task
from inspections.planning.linear_bound import branched_bound, linear_bound
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import COST, LATE, Options
from inspections.planning.solve import plan_year
from inspections.planning.usable import usable_slots
from tests.inspections.planning.small_houses import tiny_house

HOUSES = 40
MOST_PAIRS = 11


def pairs_of(house: House) -> list[Task]:
    return [Task(plan.key, slot) for plan in house.plans for slot in usable_slots(house, plan)]


def small_enough(seed: int) -> House:
    """The first house after a seed of which all plans can be tried."""
    houses = (tiny_house(100 * seed + more) for more in range(100))
    return next(house for house in houses if 3 <= len(pairs_of(house)) <= MOST_PAIRS)


def best_of_all(house: House) -> Evaluation:
    """Every set of half-days for every plan, judged one by one."""
    pairs = pairs_of(house)
    some = chain.from_iterable(combinations(pairs, n) for n in range(len(pairs) + 1))
    return min((evaluate(house, tasks) for tasks in some), key=lambda judged: judged.rank)


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
