"""The cheapest chain of one plan against every chain there is, priced by the evaluator."""

from __future__ import annotations

from itertools import combinations
from random import Random

import pytest

from bench.planner.houses import synthetic_house
from inspections.planning.annealing.search import LocalSearch
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import groups_of
from inspections.planning.house import Examiner, House, Need, SetUp, Task
from inspections.planning.load import Load
from inspections.planning.whole_chain import cheapest_chain
from tests.inspections.planning.small_houses import (
    BLOCKED,
    DARK,
    make_house,
    make_person,
    make_plan,
)

DAYS = 6


def house_of_two(seed: int) -> House:
    """One plan whose chain is asked for, and another whose tasks already lie."""
    random = Random(seed)
    more = {
        "needs": (Need("competent", 3),), "access": DARK, "price": random.choice((5, 50)),
        "early_price": random.choice((0, 2)), "early_days": random.choice((0, 1)),
        "set_ups": frozenset({"swept"}), "examiner": "lifting", "examiner_quarters": 3,
    }  # fmt: skip
    return make_house(
        DAYS,
        make_plan("asked", random.choice((2, 3, 4)), random.choice((0, 2, 3)), **more),
        make_plan("lies", 3, 2, **more),
        access=tuple(DARK if random.random() < 0.7 else BLOCKED for _ in range(2 * DAYS)),
        people=(make_person(DAYS, 4, overtime=(2,) * (2 * DAYS)),),
        examiners={"lifting": Examiner("lifting", 30, 6, frozenset(range(DAYS)))},
        set_ups={"swept": SetUp("swept", random.choice(("day", "half-day")), 9)},
        overtime_price=4,
    )


@pytest.mark.parametrize("seed", range(16))
def test_no_chain_of_one_plan_is_cheaper_than_the_one_found(seed: int) -> None:
    house = house_of_two(seed)
    groups, capacity = groups_of(house), Capacity(house)
    load = Load(house, capacity)
    lies = [task for task in cheapest_fit(house, groups, capacity) if task.plan == "lies"]
    for task in lies:
        load.put(groups[1], task.slot)
    usable = groups[0].slots
    chains = [some for size in range(5) for some in combinations(usable, size)]
    judged = [evaluate(house, [*lies, *(Task("asked", slot) for slot in some)]) for some in chains]
    found = cheapest_chain(load, groups[0], groups[0].members[0])
    planned = evaluate(house, [*lies, *(Task("asked", slot) for slot in found.slots)])
    assert planned.faults == ()
    assert planned.rank == min(one.rank for one in judged)


def test_the_search_saves_tasks_and_counts_its_money_as_the_evaluator_does() -> None:
    house = synthetic_house("C", 4)
    groups, capacity = groups_of(house), Capacity(house)
    start = cheapest_fit(house, groups, capacity)
    search = LocalSearch(house, groups, capacity, start, seed=1)
    found = search.run(20_000)
    before, after = evaluate(house, start), evaluate(house, found)
    assert after.faults == ()
    assert after.rank < before.rank
    assert after.executions < before.executions
    # What the search counted for itself is what the evaluator finds.
    assert before.cost + search.change == after.cost
