"""Plans that differ only in when they were last done are one group of N. Pure.

It takes the symmetry out of the model: how many of the group are done in a half-day is asked,
not which.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property

from inspections.calendar_rules import Interval, add_interval
from inspections.planning.house import House, Plan, day_of
from inspections.planning.usable import usable_slots

LAST_POSSIBLE = 10**6


@dataclass(frozen=True)
class Group:
    """Interchangeable plans, and the half-days in which one of them can begin."""

    number: int
    pattern: Plan
    members: tuple[Plan, ...]
    slots: tuple[int, ...]
    due: tuple[int, ...]
    """For every day of the horizon: when the next is due, once it was done that day."""
    lawful: tuple[int, ...]

    @property
    def size(self) -> int:
        return len(self.members)

    @cached_property
    def anchored(self) -> bool:
        return bool(self.pattern.due_days)

    @cached_property
    def rate(self) -> int:
        """Money a day of validity is worth: the price of a task over its interval."""
        return 0 if self.anchored else self.pattern.price // max(1, self.lawful[0])

    def done_on(self, slot: int) -> int:
        """The day on which a task that begins in this half-day is done."""
        return day_of(slot + self.pattern.duration - 1)


def groups_of(house: House) -> list[Group]:
    """The groups of a house, in the order of its plans."""
    alike: dict[Plan, list[Plan]] = {}
    for plan in house.plans:
        alike.setdefault(replace(plan, key="", first_due=0, first_lawful=0), []).append(plan)
    tables: dict[tuple[Interval, Interval], tuple[tuple[int, ...], tuple[int, ...]]] = {}
    found = []
    for number, members in enumerate(alike.values()):
        pattern = members[0]
        kind = (pattern.interval, pattern.slack)
        if kind not in tables:
            tables[kind] = next_dates(house.first_day, house.days, *kind)
        ordered = sorted(members, key=lambda plan: (plan.first_lawful, plan.first_due, plan.key))
        found.append(
            Group(number, pattern, tuple(ordered), usable_slots(house, pattern), *tables[kind])
        )
    return found


def next_dates(
    first_day: date, days: int, interval: Interval, slack: Interval
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """For each day of the horizon the due day and the last lawful day of the next task.

    >>> next_dates(date(2027, 1, 31), 1, Interval(months=1), Interval(days=2))
    ((28,), (30,))
    """
    if interval.is_zero:
        return (LAST_POSSIBLE,) * days, (LAST_POSSIBLE,) * days
    due, lawful = [], []
    for number in range(days):
        day = add_interval(first_day + timedelta(days=number), interval)
        due.append((day - first_day).days)
        lawful.append((add_interval(day, slack) - first_day).days)
    return tuple(due), tuple(lawful)
