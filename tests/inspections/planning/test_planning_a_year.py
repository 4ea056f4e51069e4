"""What holds for every plan of the planner: order of aims, the agreed plan, repeatability."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import pytest

from bench.planner.houses import synthetic_house
from inspections.planning.annealing.search import LocalSearch, stop_after
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit, earliest_fit, repaired
from inspections.planning.groups import groups_of
from inspections.planning.hand_out import first_due_first, hand_out
from inspections.planning.house import House, SetUp, Task
from inspections.planning.outcome import COST, LATE, STAGES, Options, Progress
from inspections.planning.solve import plan_year
from tests.inspections.planning.small_houses import (
    BLOCKED,
    DARK,
    QUICK,
    make_house,
    make_plan,
    tiny_house,
)

ISO = SetUp("iso", "day", 100)


def fortnight() -> House:
    """Four sets of two kinds in a fortnight with a few dark days, one isolation a day."""
    dark = {3, 4, 8, 9, 12}
    access = tuple(DARK if slot // 2 in dark else BLOCKED for slot in range(28))
    plans = [
        make_plan(
            f"set {n}", 7, 4 + n, access=DARK, set_ups=frozenset({"iso"}), price=50, kind="set"
        )
        for n in range(4)
    ]
    return make_house(14, *plans, access=access, set_ups={"iso": ISO})


def slices() -> House:
    """The first weeks of the synthetic house, small enough for a test."""
    house, days = synthetic_house("S", 1), 42
    people = tuple(
        replace(p, quarters=p.quarters[: 2 * days], overtime=p.overtime[: 2 * days])
        for p in house.people
    )
    return replace(house, access=house.access[: 2 * days], plans=house.plans[::3], people=people)


def test_the_same_house_options_and_seed_give_the_same_plan() -> None:
    house = slices()
    first, second = (plan_year(house, Options(seconds=2, repeatable=True)) for _ in range(2))
    assert first.tasks == second.tasks
    assert first.stages == second.stages
    assert len(first.tasks) > 15


def test_a_plan_of_a_synthetic_house_has_no_fault_and_beats_what_a_person_would_do() -> None:
    house = slices()
    groups, capacity = groups_of(house), Capacity(house)
    planned = plan_year(house, Options(seconds=2, repeatable=True)).evaluation
    earliest = evaluate(house, earliest_fit(house, groups, capacity))
    cheapest = evaluate(house, cheapest_fit(house, groups, capacity))
    assert planned.faults == ()
    assert planned.rank < earliest.rank
    assert planned.rank <= cheapest.rank


def test_the_first_plan_is_shown_at_once_and_each_later_one_is_better() -> None:
    seen: list[Progress] = []
    outcome = plan_year(slices(), Options(seconds=2, repeatable=True), seen.append)
    ranks = [progress.evaluation.rank for progress in seen]
    assert len(ranks) >= 2
    assert ranks == sorted(ranks, reverse=True)
    assert seen[-1].tasks == outcome.tasks


def test_every_aim_comes_with_a_bound_that_is_not_above_it() -> None:
    outcome = plan_year(fortnight(), QUICK)
    assert [stage.aim for stage in outcome.stages] == list(STAGES)
    assert all(stage.bound <= stage.value for stage in outcome.stages)
    assert outcome.stage(COST).gap == 0


@pytest.mark.parametrize("seed", range(12))
def test_one_more_dark_half_day_never_makes_the_plan_worse(seed: int) -> None:
    house = tiny_house(seed)
    blocked = next(slot for slot, access in enumerate(house.access) if not access)
    access = [*house.access]
    access[blocked] = DARK
    before, after = (
        plan_year(h, Options(seconds=3, repeatable=True)).evaluation
        for h in (house, replace(house, access=tuple(access)))
    )
    assert after.rank[:4] <= before.rank[:4]


def test_nothing_agreed_is_moved_to_save_money() -> None:
    house = fortnight()
    agreed = frozenset(
        Task(f"set {n}", slot) for n, slots in enumerate(((6, 16), (8, 18), (8, 18), (8, 24)))
        for slot in slots
    )  # fmt: skip
    free = plan_year(house, QUICK).evaluation
    kept = plan_year(replace(house, agreed=agreed), QUICK)
    assert agreed <= set(kept.tasks)
    assert kept.evaluation.moved == 0
    assert kept.evaluation.late_days == 0
    assert kept.evaluation.cost > free.cost


def test_a_show_added_on_an_agreed_day_moves_what_it_must_and_no_more() -> None:
    house = fortnight()
    agreed = frozenset(plan_year(house, QUICK).tasks)
    taken = max(task.slot for task in agreed) // 2
    gone = {task for task in agreed if task.slot // 2 == taken}
    access = tuple(BLOCKED if s // 2 == taken else a for s, a in enumerate(house.access))
    again = plan_year(replace(house, access=access, agreed=agreed), QUICK).evaluation
    assert again.moved == len(gone)


def test_a_show_added_to_a_whole_year_moves_the_proven_fewest() -> None:
    house = synthetic_house("S", 1)
    groups, capacity = groups_of(house), Capacity(house)
    agreed = cheapest_fit(house, groups, capacity)
    later = [task.slot for task in agreed if task.slot > house.slots // 2]
    taken = max(sorted(set(later)), key=later.count)
    access = tuple(BLOCKED if s == taken else a for s, a in enumerate(house.access))
    changed = replace(house, access=access, agreed=frozenset(agreed))
    tasks = repaired(changed, groups_of(changed), Capacity(changed))
    judged = evaluate(changed, tasks)
    assert judged.faults == ()
    assert judged.moved == later.count(taken) > 0


def test_late_days_that_the_calendar_makes_are_proven_at_once() -> None:
    house = make_house(30, make_plan("a", 5, access=DARK), access=(DARK,) * 20 + (BLOCKED,) * 40)
    late = plan_year(house, Options(seconds=1, repeatable=True)).stage(LATE)
    assert late.value == late.bound == 30 - 14


def test_late_days_of_a_changed_calendar_go_by_moving_few_agreed_tasks() -> None:
    """A show takes the only half-day of one task: another must make room for it."""
    level = DARK | {"pit at stage level"}
    access = tuple({6: DARK, 12: level, 13: level, 20: level}.get(s, BLOCKED) for s in range(28))
    alone = frozenset({("grid", "above")})
    plans = [
        make_plan(f"w{n}", 300, day, kind=f"w{n}", access=needed, zones=alone)
        for n, (day, needed) in enumerate(((6, DARK), (10, level), (12, level)))
    ]
    agreed = frozenset({Task("w0", 12), Task("w1", 20), Task("w2", 13)})
    house = make_house(14, *plans, access=access, clashes=frozenset({alone}), agreed=agreed)
    gone = replace(house, access=(*access[:20], BLOCKED, *access[21:]))
    judged = plan_year(gone, Options(seconds=4)).evaluation
    assert (judged.faults, judged.late_days, judged.moved) == ((), 0, 2)


def test_a_locked_task_stays_in_its_half_day() -> None:
    house = replace(fortnight(), locked=frozenset({Task("set 3", 6)}))
    outcome = plan_year(house, QUICK)
    assert Task("set 3", 6) in outcome.tasks
    assert outcome.evaluation.faults == ()


def test_hand_out_keeps_agreed_pairs_where_first_due_first_would_swap_them() -> None:
    house = make_house(14, *(make_plan(f"set {n}", 7, 6, kind="set") for n in range(3)))
    agreed = frozenset({Task("set 2", 8), Task("set 1", 10), Task("set 0", 12), Task("set 1", 24)})
    house = replace(house, agreed=agreed)
    (group,) = groups_of(house)
    begins = [8, 10, 12, 20, 22, 24]
    plain = first_due_first(group, begins)
    assert not agreed <= set(plain)
    counts = {(group.number, slot): 1 for slot in begins}
    given = hand_out(house, [group], counts)
    assert sorted(task.slot for task in given) == begins
    assert evaluate(house, given).late_days == evaluate(house, plain).late_days == 0
    assert evaluate(house, given).moved < evaluate(house, plain).moved


@pytest.mark.parametrize("seconds", [0.0, -3.0])
def test_a_search_without_any_time_ends_at_once_with_the_plan_it_was_given(seconds: float) -> None:
    house = synthetic_house("C", 1)
    groups, capacity = groups_of(house), Capacity(house)
    start = cheapest_fit(house, groups, capacity)
    assert (
        LocalSearch(house, groups, capacity, start, seed=3).run(10**9, stop_after(seconds)) == start
    )


def test_local_search_never_makes_a_plan_later_or_dearer() -> None:
    house = synthetic_house("S", 1)
    groups, capacity = groups_of(house), Capacity(house)
    start = cheapest_fit(house, groups, capacity)
    found = LocalSearch(house, groups, capacity, start, seed=3).run(400)
    before, after = evaluate(house, start), evaluate(house, found)
    assert after.faults == ()
    assert after.late_days <= before.late_days
    assert after.cost < before.cost


def test_a_task_of_two_half_days_runs_without_a_break() -> None:
    access = (DARK, BLOCKED, BLOCKED, DARK, DARK, BLOCKED)
    house = make_house(3, make_plan("long", 3, access=DARK, duration=2), access=access)
    assert plan_year(house, QUICK).tasks == (Task("long", 3),)


def test_a_house_that_contradicts_itself_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="no set-up named iso"):
        plan_year(make_house(2, make_plan("a", 3, set_ups=frozenset({"iso"}))), QUICK)


def test_the_solver_is_loaded_only_where_a_plan_is_made() -> None:
    words = "import sys; import {}; print('ortools' in sys.modules)"
    light = [
        "evaluate",
        "greedy",
        "annealing.search",
        "hand_out",
        "calendar_proof",
        "why",
        "outcome",
    ]
    for module, heavy in [*((name, False) for name in light), ("solve", True)]:
        asked = words.format(f"inspections.planning.{module}")
        said = subprocess.run(
            [sys.executable, "-c", asked], capture_output=True, text=True, check=True
        )
        assert said.stdout.strip() == str(heavy), module


def test_a_repaired_plan_does_nothing_twice_on_one_day() -> None:
    # Late already, and the afternoon of the only dark day is agreed: its morning is no other task.
    access = (BLOCKED,) * 4 + (DARK, DARK) + (BLOCKED,) * 2
    late = make_plan("curtain", 3, first=0, access=DARK)
    house = make_house(4, late, access=access, agreed=frozenset({Task("curtain", 5)}))
    found = repaired(house, groups_of(house), Capacity(house))
    judged = evaluate(house, found)
    assert judged.faults == ()
    assert judged.moved == 0
