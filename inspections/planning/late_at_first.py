"""The fewest late days of a long plan's first weeks, where overdue work meets few visits.

Needs OR-Tools. Any plan of the whole house, and of it only the first days, is a plan of a house
that ends there, and is no later than in the whole. So what is proven of the short house holds for
the long one, and a plan of the short house is one to begin with.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from inspections.planning.capacity import Capacity
from inspections.planning.greedy import cheapest_fit, next_window
from inspections.planning.groups import Group, groups_of
from inspections.planning.hand_out import hand_out
from inspections.planning.house import House, Task, day_of
from inspections.planning.model import YearModel
from inspections.planning.model_resources import add_resources
from inspections.planning.outcome import Options
from inspections.planning.solver import minimise

MOST_DAYS, MORE_DAYS = 150, 10
"""How long the short house may be, and how long beyond the last late task."""


@dataclass(frozen=True)
class AtFirst:
    """The proven least of late days, and a plan of the whole house that may have so few."""

    bound: int
    tasks: tuple[Task, ...]


def late_at_first(
    house: House, tasks: Sequence[Task], options: Options, seconds: float
) -> AtFirst | None:
    """None where the late tasks of this plan do not all lie in its first weeks."""
    groups, capacity = groups_of(house), Capacity(house)
    last = last_late_day(groups, tasks)
    days = min(last + MORE_DAYS, house.days)
    if not last or days > MOST_DAYS:
        return None
    short = until(house, days)
    short_groups = groups_of(short)
    year = add_resources(YearModel(short, short_groups, Capacity(short)))
    start = [task for task in tasks if _within(house, task, days)]
    solved = minimise(year, year.late, seconds / 2, options, None, start)
    bound = max(0, solved.bound)
    if solved.value is None:
        return AtFirst(bound, tuple(tasks))
    # Of plans as little late, one that keeps what was agreed, or a cheap one to search from.
    year.cp.add(year.late.expression() <= solved.value)
    begin = hand_out(short, short_groups, solved.counts)
    aim = year.moved if house.agreed else year.whole_cost()
    better = minimise(year, aim, seconds / 2, options, None, begin)
    first = hand_out(short, short_groups, better.counts) if better.counts else begin
    whole = replace(house, locked=house.locked | frozenset(first))
    return AtFirst(bound, tuple(cheapest_fit(whole, groups, capacity)))


def last_late_day(groups: Iterable[Group], tasks: Iterable[Task]) -> int:
    """The last day on which something late is done; 0 where nothing is."""
    own: dict[str, list[int]] = {}
    for task in sorted(tasks):
        own.setdefault(task.plan, []).append(task.slot)
    last = 0
    for group in groups:
        for plan in group.members:
            done: int | None = None
            for number, slot in enumerate(own.get(plan.key, ())):
                window = next_window(group, plan, number, done)
                done = group.done_on(slot)
                if window and done > window[2]:
                    last = max(last, done)
    return last


def until(house: House, days: int) -> House:
    """The house as if its calendar ended after so many days."""
    slots = 2 * days
    people = tuple(
        replace(one, quarters=one.quarters[:slots], overtime=one.overtime[:slots])
        for one in house.people
    )
    return replace(
        house,
        access=house.access[:slots],
        people=people,
        agreed=frozenset(task for task in house.agreed if _within(house, task, days)),
        locked=frozenset(task for task in house.locked if _within(house, task, days)),
        margin_days=0,
    )


def _within(house: House, task: Task, days: int) -> bool:
    plan = house.plan_of.get(task.plan)
    return plan is not None and day_of(task.slot + plan.duration - 1) < days
