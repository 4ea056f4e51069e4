"""Parts of a plan that may change together."""

from __future__ import annotations

from random import Random

from inspections.planning.anew import PlanningAnew
from inspections.planning.annealing.search import LocalSearch
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import groups_of
from inspections.planning.hand_out import hand_out
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.parts_of_a_plan import CROSSED, MADE, MOST_CROSSED, PartsOfAPlan
from inspections.planning.solver import counts_of
from tests.inspections.planning.test_bound import part_of_a_year


def test_where_two_plans_have_their_visits_is_tried_first_and_both_are_within_it() -> None:
    house = part_of_a_year("S", 1, 300)
    groups, capacity = groups_of(house), Capacity(house)
    year = add_resources(YearModel(house, groups, capacity))
    begun = cheapest_fit(house, groups, capacity)
    plans = [
        LocalSearch(house, groups, capacity, begun, seed).run(4_000, lambda: 0.0)
        for seed in range(2)
    ]
    one, other = (dict(counts_of(year, plan)) for plan in plans)
    parts = PartsOfAPlan(year, Random(1), paid=True)
    assert parts.large
    parts.cross_with([parts.made_in(other)])
    ways = [parts.chosen({}, one) for _ in range(2 * len(parts.large))]
    assert [part.way for part in ways] == [MADE] * len(parts.large) + [CROSSED] * len(parts.large)
    for island, part in zip(parts.large, ways[len(parts.large) :], strict=True):
        own = {key for plan in (one, other) for key in plan if parts.island[key[0]] == island}
        assert len(own) < MOST_CROSSED
        assert own <= part.free


def test_a_plan_crossed_with_another_is_never_dearer_and_keeps_every_rule() -> None:
    house = part_of_a_year("S", 1, 300)
    groups, capacity = groups_of(house), Capacity(house)
    begun = cheapest_fit(house, groups, capacity)
    plans = [
        LocalSearch(house, groups, capacity, begun, seed).run(4_000, lambda: 0.0)
        for seed in range(3)
    ]
    best, *others = sorted(plans, key=lambda plan: evaluate(house, plan).rank)
    judged = evaluate(house, best)
    year = add_resources(YearModel(house, groups, capacity))
    year.cp.add(year.late.expression() <= judged.late_days)
    anew = PlanningAnew(year, year.whole_cost(), best, judged.cost, 1)
    anew.run(20, lambda _: None, others=others, stalled=lambda _: True)
    after = evaluate(house, hand_out(house, groups, anew.counts))
    assert after.faults == ()
    assert after.cost <= anew.value < judged.cost
    assert after.late_days <= judged.late_days
