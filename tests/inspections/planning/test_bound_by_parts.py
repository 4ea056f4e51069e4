"""The bound of a house by parts is never above its best plan, and near it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.planner.houses import synthetic_house
from inspections.planning.annealing.search import LocalSearch
from inspections.planning.bound_by_parts import bound_by_parts, parts_of
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import groups_of
from inspections.planning.large_house import search_and_prove
from inspections.planning.late_alone import late_alone
from inspections.planning.outcome import COST, LATE, Options, Progress
from inspections.planning.proof_aside import Asked
from inspections.planning.solve import plan_year
from tests.inspections.planning.every_plan import best_of_all, small_enough
from tests.inspections.planning.test_bound import part_of_a_year


@pytest.mark.parametrize("seed", range(8))
def test_no_plan_of_a_tiny_house_is_below_what_its_parts_prove(seed: int) -> None:
    house = small_enough(200 + seed)
    best = best_of_all(house)
    alone = late_alone(house, groups_of(house), Capacity(house), house.plan_of)
    assert sum(alone.values()) <= best.late_days
    assert bound_by_parts(house, best.late_days, best.moved, 5) <= best.cost


def test_parts_share_no_examiner_and_no_set_up_and_leave_no_plan_out() -> None:
    house = synthetic_house("S", 1)
    parts = parts_of(house)
    assert sorted(p.key for part in parts for p in part.plans) == sorted(house.plan_of)
    tags = [
        {plan.examiner for plan in part.plans} | {key for p in part.plans for key in p.set_ups}
        for part in parts
    ]
    shared = [one & other - {""} for n, one in enumerate(tags) for other in tags[:n]]
    assert len(parts) > 2
    assert not any(shared)


def test_a_part_alone_costs_no_more_than_its_share_of_a_plan_of_the_whole() -> None:
    house = replace(part_of_a_year("S", 3), margin_days=0, week_target=0)
    tasks = cheapest_fit(house, groups_of(house), Capacity(house))
    alone = [
        evaluate(part, [task for task in tasks if task.plan in part.plan_of])
        for part in parts_of(house)
    ]
    whole = evaluate(house, tasks)
    assert not any(part.faults for part in alone)
    assert sum(part.late_days for part in alone) == whole.late_days
    assert sum(part.overtime_quarters for part in alone) <= whole.overtime_quarters
    assert sum(part.cost for part in alone) <= whole.cost


def test_search_and_proof_of_a_house_come_near_each_other() -> None:
    house = part_of_a_year("S", 1)
    groups, capacity = groups_of(house), Capacity(house)
    start = cheapest_fit(house, groups, capacity)
    late = evaluate(house, start).late_days
    search = LocalSearch(house, groups, capacity, start, seed=1)
    offered: list[int] = []
    heard: list[int] = []
    proven = search_and_prove(
        Asked(house, late, 0, 12),
        search,
        lambda tasks: offered.append(evaluate(house, tasks).cost),
        heard.append,
    )
    assert proven[LATE] <= late
    assert proven[COST] == max(heard)
    assert 0.8 * offered[-1] < proven[COST] <= min(offered)


def test_a_large_house_is_planned_without_one_model_of_the_whole(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("inspections.planning.large_house.LARGE", 10)
    monkeypatch.setattr("inspections.planning.solve._Planning._whole", None)
    heard: list[Progress] = []
    found = plan_year(part_of_a_year("S", 1), Options(seconds=10), heard.append)
    assert found.evaluation.faults == ()
    assert 0 < found.stage(COST).bound <= found.stage(COST).value
    assert found.stage(LATE).bound <= found.stage(LATE).value == found.evaluation.late_days
    assert heard[-1].tasks == found.tasks
