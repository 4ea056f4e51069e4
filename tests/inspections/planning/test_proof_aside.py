"""The proof in a process of its own: what it says holds, its rows hold in the whole year, and it ends
when nobody wants it any more."""

from __future__ import annotations

import pytest

from inspections.planning.bound_by_parts import CouldUseMore, FoundRows, Hearing, bound_by_parts
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import groups_of
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import COST, LATE
from inspections.planning.proof_aside import Asked, ProofAside, prove
from inspections.planning.same_rows import numbers_of, rewritten
from tests.inspections.planning.test_bound import part_of_a_year, searched, values_of


def test_rows_found_in_the_parts_hold_for_plans_of_the_whole_year() -> None:
    house = part_of_a_year("S", 1)
    groups, capacity = groups_of(house), Capacity(house)
    tasks = searched(house, groups, capacity)
    found: list[FoundRows] = []
    bound_by_parts(house, evaluate(house, tasks).late_days, 0, 2, Hearing(rows=found.append))
    year = add_resources(YearModel(house, groups, capacity))
    rows = [cut for one in found for cut in rewritten(one.cuts, one.numbers, numbers_of(year))]
    assert len(rows) == sum(len(one.cuts) for one in found) > 50
    year.cp.minimize((10**6 * year.late.expression()) + year.whole_cost().expression())
    values = values_of(year, tasks)
    assert all(cut.value(values) >= cut.least for cut in rows)


def test_rows_about_what_another_year_does_not_have_are_left_out() -> None:
    house = part_of_a_year("S", 1)
    found: list[FoundRows] = []
    bound_by_parts(house, 0, 0, 8, Hearing(rows=found.append))
    other = part_of_a_year("C", 1, days=30)
    year = add_resources(YearModel(other, groups_of(other), Capacity(other)))
    kept = [cut for one in found for cut in rewritten(one.cuts, one.numbers, numbers_of(year))]
    assert found
    assert len(kept) < sum(len(one.cuts) for one in found)


def test_what_it_proves_is_below_a_plan_and_is_heard_while_it_rises() -> None:
    house = part_of_a_year("S", 1)
    judged = evaluate(house, cheapest_fit(house, groups_of(house), Capacity(house)))
    heard: list[int] = []
    proof = ProofAside(Asked(house, judged.late_days, 0, 10), heard.append)
    proven = proof.wait()
    assert 0.8 * judged.cost < proven[COST] <= judged.cost
    assert proven[LATE] <= judged.late_days
    assert len(heard) > 1
    assert heard[-1] == proven[COST]


def test_it_ends_when_it_is_told_to() -> None:
    proof = ProofAside(Asked(part_of_a_year("S", 1), 0, 0, 600), lambda _: None)
    proof.stop()
    assert proof.wait() == {LATE: 0, COST: 0}


def test_it_says_when_it_could_use_another_core_and_asks_from_then_on_whether_it_may(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Of a few months no part is so large, or so promising, that visits would be counted.
    monkeypatch.setattr("inspections.planning.bound_by_parts.LARGE", 100)
    monkeypatch.setattr("inspections.planning.counted_branches.PROMISING", -1)
    house = part_of_a_year("S", 1, 120)
    judged = evaluate(house, cheapest_fit(house, groups_of(house), Capacity(house)))
    said: list[object] = []
    asked: list[bool] = []

    def cores() -> int:
        asked.append(any(isinstance(one, CouldUseMore) for one in said))
        return 2

    prove(Asked(house, judged.late_days, 0, 25), said.append, cores)
    assert True in asked
    proven = [one[COST] for one in said if isinstance(one, dict) and COST in one]
    assert 0.8 * judged.cost < max(proven) <= judged.cost


def test_a_core_given_back_early_does_no_harm() -> None:
    house = part_of_a_year("S", 1)
    judged = evaluate(house, cheapest_fit(house, groups_of(house), Capacity(house)))
    proof = ProofAside(Asked(house, judged.late_days, 0, 6), lambda _: None)
    proof.take_all_cores()
    assert 0.8 * judged.cost < proof.wait()[COST] <= judged.cost
