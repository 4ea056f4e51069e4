"""The compiled search counts as the plain load, chain and evaluator do."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from bench.planner.houses import synthetic_house
from inspections.planning.annealing import compiled
from inspections.planning.annealing.chains import cheapest_chain
from inspections.planning.annealing.gaps import own_cost
from inspections.planning.annealing.room import extra_price, fits, put, take
from inspections.planning.annealing.search import LocalSearch
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import groups_of
from inspections.planning.house import DueDay, House, Plan, Task
from inspections.planning.load import Load
from inspections.planning.whole_chain import LATE_DAY, can_be_chained
from inspections.planning.whole_chain import cheapest_chain as plain_chain
from tests.inspections.planning.small_houses import DARK, make_house, make_plan, tiny_house

HOUSES = [
    *(tiny_house(seed) for seed in range(40)),
    synthetic_house("C", 1),
    synthetic_house("C", 2),
]


class _Both:
    """The same tasks in the plain load and in the compiled search's."""

    def __init__(self, house: House) -> None:
        self.house, self.groups, self.capacity = house, groups_of(house), Capacity(house)
        self.load = Load(house, self.capacity)
        self.search = LocalSearch(house, self.groups, self.capacity, [], seed=1)
        self.place = {key: n for n, key in enumerate(self.search.keys)}

    def prices(self) -> list[tuple[bool, int]]:
        return [
            (self.load.fits(group, slot), self.load.extra_price(group, slot))
            for group in self.groups
            for slot in group.slots
        ]

    def compiled_prices(self) -> list[tuple[bool, int]]:
        facts, state = self.search.facts, self.search.state
        return [
            (bool(fits(facts, state, n, slot)), extra_price(facts, state, n, slot))
            for n, group in enumerate(self.groups)
            for slot in group.slots
        ]

    def put(self, number: int, key: str, slot: int) -> None:
        price = self.load.extra_price(self.groups[number], slot)
        self.load.put(self.groups[number], slot)
        assert put(self.search.facts, self.search.state, self.place[key], slot) == price

    def take(self, number: int, key: str, slot: int) -> None:
        self.load.put(self.groups[number], slot, -1)
        price = self.load.extra_price(self.groups[number], slot)
        assert take(self.search.facts, self.search.state, self.place[key], slot) == price


def _fill_by_chance(both: _Both, random: Random) -> list[tuple[int, str, int]]:
    """Tasks wherever one fits; about half of the places."""
    tasks = []
    for number, group in enumerate(both.groups):
        for plan in group.members:
            slots = random.sample(group.slots, min(len(group.slots), 3))
            for slot in slots:
                if (
                    both.load.fits(group, slot)
                    and both.search.state.counts[both.place[plan.key]] < 7
                ):
                    both.put(number, plan.key, slot)
                    tasks.append((number, plan.key, slot))
    return tasks


@pytest.mark.parametrize("house", HOUSES)
def test_what_fits_and_what_it_costs_is_what_the_plain_load_says(house: House) -> None:
    both, random = _Both(house), Random(3)
    assert both.prices() == both.compiled_prices()
    tasks = _fill_by_chance(both, random)
    assert both.prices() == both.compiled_prices()
    for task in random.sample(tasks, len(tasks) // 2):
        both.take(*task)
    assert both.prices() == both.compiled_prices()


@pytest.mark.parametrize("house", HOUSES)
def test_the_cheapest_chain_costs_what_the_plain_one_costs(house: House) -> None:
    both = _Both(house)
    _fill_by_chance(both, Random(4))
    facts, state, hand = both.search.facts, both.search.state, both.search.hand
    for group in both.groups:
        for plan in group.members if can_be_chained(group) else ():
            place = both.place[plan.key]
            begun = [int(slot) for slot in state.begun[place, : state.counts[place]]]
            for slot in begun:
                both.take(both.groups.index(group), plan.key, slot)
            plain = plain_chain(both.load, group, plan)
            length = cheapest_chain(facts, state, place, hand.path, hand.early, hand.free)
            slots = [int(slot) for slot in hand.path.chain[:length]][::-1]
            assert len(slots) == len(set(slots))
            paid = sum(both.load.extra_price(group, slot) for slot in slots)
            for slot in slots[: state.begun.shape[1] - 1]:
                put(facts, state, place, slot)
            if length < state.begun.shape[1]:
                assert paid + own_cost(facts, state, place) == plain.cost
            for slot in slots[: state.begun.shape[1] - 1]:
                take(facts, state, place, slot)
            for slot in begun:
                both.put(both.groups.index(group), plan.key, slot)


@pytest.mark.parametrize("house", HOUSES)
def test_what_the_search_counts_is_what_the_evaluator_finds(house: House) -> None:
    groups, capacity = groups_of(house), Capacity(house)
    start = cheapest_fit(house, groups, capacity)
    search = LocalSearch(house, groups, capacity, start, seed=5)
    found = search.run(3_000)
    before, after = evaluate(house, start), evaluate(house, found)
    assert set(after.faults) <= set(before.faults)
    assert after.late_days <= before.late_days
    if after.late_days == before.late_days:
        assert after.cost <= before.cost
        # Nothing but money was won, or nothing at all.
        assert after.cost == before.cost + min(0, search.change)


def test_what_is_agreed_or_locked_stays_where_it_is() -> None:
    house = synthetic_house("C", 3)
    groups, capacity = groups_of(house), Capacity(house)
    start = cheapest_fit(house, groups, capacity)
    agreed, locked = frozenset(start[::3]), frozenset(start[1::3])
    held = replace(house, agreed=agreed, locked=locked)
    search = LocalSearch(held, groups_of(held), Capacity(held), start, seed=1)
    search.run(20_000)
    found = set(search.tasks())
    assert agreed | locked <= found
    assert found != set(start)


def test_the_same_seed_and_steps_give_the_same_plan_and_another_seed_another() -> None:
    house = synthetic_house("C", 4)
    groups, capacity = groups_of(house), Capacity(house)
    start = cheapest_fit(house, groups, capacity)

    def found(seed: int) -> list[Task]:
        return LocalSearch(house, groups, capacity, start, seed).run(4_000)

    assert found(1) == found(1)
    assert found(1) != found(2)


def test_where_nothing_can_be_written_each_process_compiles_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(compiled.os, "access", lambda *_: False)
    assert compiled._kept_in() is None
    monkeypatch.undo()
    kept = compiled._kept_in()
    assert kept is not None
    assert kept.parent.name == "__pycache__"


def _monthly(number: int, days: int) -> Plan:
    """Anchored every four weeks, each window opening a week before."""
    first = number % 28
    dues = tuple(DueDay(due - 7, due, due + 2) for due in range(first + 7, days, 28))
    return make_plan(f"monthly {number}", 28, due_days=dues, access=DARK, early_days=7, price=50)


@pytest.mark.parametrize("seed", range(4))
def test_nothing_is_done_before_it_opens_however_long_it_is_searched(seed: int) -> None:
    days = 140
    plans = [_monthly(number, days) for number in range(30)]
    house = make_house(days, *plans, set_ups={}, overtime_price=3)
    groups, capacity = groups_of(house), Capacity(house)
    start = cheapest_fit(house, groups, capacity)
    assert evaluate(house, start).faults == ()
    found = LocalSearch(house, groups, capacity, start, seed).run(20_000)
    assert evaluate(house, found).faults == ()


def test_an_anchored_task_put_off_beyond_its_last_day_stays_the_only_one() -> None:
    late = make_plan("late", 20, due_days=(DueDay(0, 3, 5),), access=DARK)
    house = make_house(12, late, locked=frozenset({Task("late", 16)}))
    start = cheapest_fit(house, groups_of(house), Capacity(house))
    assert start == [Task("late", 16)]
    judged = evaluate(
        house, LocalSearch(house, groups_of(house), Capacity(house), start, 1).run(500)
    )
    assert (judged.faults, judged.late_days) == ((), 3)


def test_more_tasks_than_due_days_are_judged_by_the_last_and_nothing_is_read_beyond() -> None:
    two = make_plan("two", 20, due_days=(DueDay(0, 3, 5),), access=DARK)
    house = make_house(12, two)
    search = LocalSearch(
        house, groups_of(house), Capacity(house), [Task("two", 4), Task("two", 20)], 1
    )
    alone = LocalSearch(house, groups_of(house), Capacity(house), [Task("two", 4)], 1)
    late = own_cost(search.facts, search.state, 0) - own_cost(alone.facts, alone.state, 0)
    assert late == 5 * LATE_DAY  # done on day 10, lawful until day 5


def test_a_house_without_plans_is_searched_too() -> None:
    house = make_house(6)
    assert LocalSearch(house, groups_of(house), Capacity(house), [], -1).run(500) == []
