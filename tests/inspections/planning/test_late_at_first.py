"""The first weeks alone: what is proven of them holds for the whole, and their plan is usable."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bench.planner.houses import synthetic_house
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import groups_of
from inspections.planning.house import House, Task
from inspections.planning.late_at_first import last_late_day, late_at_first, until
from inspections.planning.outcome import Options
from tests.inspections.planning.every_plan import best_of_all, small_enough

QUICK = Options(seconds=2, repeatable=True)


def started(house: House) -> list[Task]:
    return cheapest_fit(house, groups_of(house), Capacity(house))


def late_houses() -> list[int]:
    """Seeds of tiny houses whose first plan has late tasks that are done at all."""
    return [
        seed
        for seed in range(100)
        if last_late_day(groups_of(small_enough(seed)), started(small_enough(seed)))
    ][:12]


@pytest.mark.parametrize("more", [0, 1])
@pytest.mark.parametrize("seed", late_houses())
def test_no_plan_of_the_whole_has_fewer_late_days_than_its_first_days_must_have(
    seed: int, more: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("inspections.planning.late_at_first.MORE_DAYS", more)
    house = small_enough(seed)
    found = late_at_first(house, started(house), QUICK, 2)
    assert found is not None
    assert found.bound <= best_of_all(house).late_days <= evaluate(house, found.tasks).late_days


@pytest.mark.parametrize("seed", [2, 7])
def test_what_falls_due_before_enough_visits_is_as_little_late_as_it_can_be(seed: int) -> None:
    house = until(synthetic_house("M", seed), 120)
    start = started(house)
    before = evaluate(house, start)
    found = late_at_first(house, start, QUICK, 8)
    assert found is not None
    after = evaluate(house, found.tasks)
    assert after.faults == ()
    assert found.bound == after.late_days <= before.late_days
    assert (after.late_days < before.late_days) == (seed == 7)  # the other one cannot be better


def test_what_is_late_only_long_after_the_first_weeks_is_left_to_others() -> None:
    house = replace(small_enough(late_houses()[0]), agreed=frozenset())
    assert late_at_first(house, [], QUICK, 1) is None
