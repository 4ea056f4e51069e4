"""A plan in a second or two, repeatable, with no bound: both greedy plans, then a short search. Pure.

It needs no solver, so the demo house and the tests use it; a manager's plan is searched for by
`inspections.planning.solve`.
"""

from __future__ import annotations

import time

from inspections.planning.annealing.search import LocalSearch
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit, earliest_fit, repaired
from inspections.planning.groups import groups_of
from inspections.planning.house import House, Task, refuse_impossible
from inspections.year_figures import Made

STEPS = 400


def quick_plan(house: House, seed: int = 1, steps: int = STEPS) -> Made:
    """The best of the plans that a person could make, improved for so many steps."""
    refuse_impossible(house)
    began = time.monotonic()
    groups, capacity = groups_of(house), Capacity(house)
    offered: dict[str, list[Task]] = {
        "earliest": earliest_fit(house, groups, capacity),
        "cheapest": cheapest_fit(house, groups, capacity),
    }
    judged = {name: evaluate(house, tasks) for name, tasks in offered.items()}
    first = time.monotonic() - began
    if house.agreed:
        offered["kept"] = repaired(house, groups, capacity)
    best = min(offered.values(), key=lambda tasks: evaluate(house, tasks).rank)
    found = LocalSearch(house, groups, capacity, list(best), seed).run(steps)
    tasks = min((best, list(found)), key=lambda tasks: evaluate(house, tasks).rank)
    return Made(
        tuple(sorted(tasks)), evaluate(house, tasks), how="quick", first_seconds=first,
        seconds=time.monotonic() - began, baselines=judged,
    )  # fmt: skip
