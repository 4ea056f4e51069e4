"""Every plan of a tiny house, judged one by one."""

from __future__ import annotations

from itertools import chain, combinations

from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.house import House, Task
from inspections.planning.usable import usable_slots
from tests.inspections.planning.small_houses import tiny_house

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
