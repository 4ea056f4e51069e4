"""On tiny houses the planner is as good as trying every plan there is."""

from __future__ import annotations

from itertools import chain, combinations

import pytest

from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.house import House, Task
from inspections.planning.outcome import COST, LATE, Options
from inspections.planning.solve import plan_year
from inspections.planning.usable import usable_slots
from tests.inspections.planning.small_houses import tiny_house

HOUSES = 100


def best_of_all(house: House) -> Evaluation:
    """Every set of half-days for every plan, judged one by one."""
    pairs = [Task(plan.key, slot) for plan in house.plans for slot in usable_slots(house, plan)]
    some = chain.from_iterable(combinations(pairs, n) for n in range(min(6, len(pairs)) + 1))
    return min((evaluate(house, tasks) for tasks in some), key=lambda judged: judged.rank)


@pytest.mark.parametrize("seed", range(HOUSES))
def test_no_plan_at_all_is_better(seed: int) -> None:
    house = tiny_house(seed)
    if sum(len(usable_slots(house, plan)) for plan in house.plans) > 13:
        house = tiny_house(1000 + seed)
    outcome = plan_year(house, Options(seconds=4, repeatable=True))
    best = best_of_all(house)
    assert outcome.evaluation.faults == ()
    assert outcome.evaluation.rank == best.rank
    assert outcome.stage(LATE).bound <= best.late_days
    assert outcome.stage(COST).bound <= best.cost
