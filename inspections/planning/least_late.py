"""The fewest late days a house can have, and who carries them. Needs OR-Tools."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import groups_of
from inspections.planning.hand_out import hand_out
from inspections.planning.house import House
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import Options
from inspections.planning.solver import minimise


@dataclass(frozen=True)
class Least:
    """The fewest item-days late, what is proven of it, and who carries them."""

    late_days: int
    bound: int
    late: dict[str, int]


def least_late(house: House, options: Options, seconds: float) -> Least:
    """The fewest late item-days of any plan found, and the proven least."""
    groups, capacity = groups_of(house), Capacity(house)
    year = add_resources(YearModel(house, groups, capacity))
    start = cheapest_fit(house, groups, capacity)
    solved = minimise(year, year.late, seconds, options, None, start)
    first = evaluate(house, start)
    if solved.value is None:
        return Least(first.late_days, max(0, solved.bound), first.late)
    found = evaluate(house, hand_out(house, groups, solved.counts))
    best = min(first, found, key=lambda judged: judged.rank[:2])
    return Least(best.late_days, max(0, solved.bound), best.late)
