"""The fewest late days a house can have, and who carries them. Needs OR-Tools."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import evaluate
from inspections.planning.greedy import cheapest_fit
from inspections.planning.groups import Group, groups_of
from inspections.planning.hand_out import hand_out
from inspections.planning.house import House, Task
from inspections.planning.late_alone import late_alone, late_laid_anew
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import Options
from inspections.planning.solver import minimise

NO_PLAN = 10**9


@dataclass(frozen=True)
class Least:
    """The fewest item-days late, what is proven of it, who carries them, and a plan that has them."""

    late_days: int
    bound: int
    late: dict[str, int]
    tasks: tuple[Task, ...] = ()


def least_late(house: House, options: Options, seconds: float, start: Sequence[Task] = ()) -> Least:
    """The fewest late item-days of any plan found, and the proven least.

    Late plans are laid anew first, which takes no time; the model is asked only where fewer late
    days than that may be possible: where they are more than what each plan has alone.
    """
    groups, capacity = groups_of(house), Capacity(house)
    best = _laid(house, groups, capacity, start or cheapest_fit(house, groups, capacity))
    alone = sum(late_alone(house, groups, capacity, best.late).values())
    if best.late_days <= alone:
        return replace(best, bound=alone)
    year = add_resources(YearModel(house, groups, capacity))
    solved = minimise(year, year.late, seconds, options, None, best.tasks)
    bound = max(alone, solved.bound)
    if solved.value is None:
        return replace(best, bound=bound)
    found = _judged(house, hand_out(house, groups, solved.counts))
    return replace(min(best, found, key=lambda one: one.late_days), bound=bound)


def _laid(
    house: House, groups: Sequence[Group], capacity: Capacity, start: Sequence[Task]
) -> Least:
    first = _judged(house, start)
    again = _judged(house, late_laid_anew(house, groups, capacity, start, first.late))
    return min(first, again, key=lambda one: one.late_days)


def _judged(house: House, tasks: Sequence[Task]) -> Least:
    """A plan's late days; a plan with a fault is none, and its late days are not counted."""
    judged = evaluate(house, tasks)
    late_days = NO_PLAN if judged.faults else judged.late_days
    return Least(late_days, 0, judged.late, tuple(tasks))
