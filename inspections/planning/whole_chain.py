"""The cheapest chain of one plan's tasks through the whole horizon, everything else left as it
lies. Pure.

Moving one task never makes one fewer; moving the whole chain does. The tasks of one plan lie on
different days, so what each costs there does not depend on the others, and the best chain is a
shortest path: every task follows one that still covers the day. Those that it follows without
being early, and those that it follows early, are two windows that only move forward, so the
cheapest of each is kept at hand and a chain takes as long as looking at each half-day once. What
has left both windows can only be followed late, at a price above all money.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from inspections.planning.groups import Group
from inspections.planning.house import Plan, day_of
from inspections.planning.load import Load

START = -1
LATE_DAY = 10**9
"""A late day weighs more than any money."""


@dataclass(frozen=True)
class Chain:
    """Half-days of a plan's tasks, and all the money they cost."""

    cost: int
    slots: tuple[int, ...]


def can_be_chained(group: Group) -> bool:
    """Long tasks of one plan may overlap: they are no shortest path."""
    return not group.anchored and group.pattern.duration == 1


def cheapest_chain(load: Load, group: Group, plan: Plan) -> Chain:
    """The chain with the fewest late days that fits, and the cheapest of those."""
    path, days = _Path(group), load.house.days
    found = (_to_the_end(group, plan.first_lawful, days), START)
    for slot in group.slots:
        price = load.price_if_it_fits(group, slot)
        if price is None:
            continue
        day = day_of(slot)
        before, place = path.cheapest_before(day, plan)
        path.add(slot, day, before + plan.price + price, place)
        whole = path.costs[-1] + _to_the_end(group, group.lawful[day], days)
        if whole < found[0]:
            found = (whole, len(path.slots) - 1)
    return Chain(found[0], path.back_from(found[1]))


def _to_the_end(group: Group, lawful: int, days: int) -> int:
    """Late days after the last task, and the validity used up at the end, as the evaluator prices
    it."""
    late = max(0, days - max(0, lawful)) * LATE_DAY
    return late + group.rate * max(0, group.lawful[-1] - max(lawful, days))


class _Path:
    """Half-days reached, the cheapest way to each, and those that the next can follow."""

    def __init__(self, group: Group) -> None:
        self.group = group
        self.slots: list[int] = []
        self.days: list[int] = []
        self.costs: list[int] = []
        self.before: list[int] = []
        self.opens: list[int] = []
        self.seen = self.opened = 0
        self.early = _Window(self._early)
        self.open = _Window(self.costs.__getitem__)
        self.passed: tuple[int, int] | None = None
        """The least cost of a chain that can only be followed late, as if on day 0, and its end."""
        self.gone = 0

    def add(self, slot: int, day: int, cost: int, before: int) -> None:
        self.slots.append(slot)
        self.days.append(day)
        self.costs.append(cost)
        self.before.append(before)
        self.opens.append(self.group.due[day] - self.group.pattern.early_days)

    def cheapest_before(self, day: int, plan: Plan) -> tuple[int, int]:
        """The least that a chain has cost before a task on this day, and what it ends with."""
        self._go_on_to(day)
        price = self.group.pattern.early_price
        start = max(0, plan.first_due - plan.early_days - day) * price
        found = [(start + max(0, day - max(0, plan.first_lawful)) * LATE_DAY, START)]
        if (place := self.open.least()) is not None:
            found.append((self.costs[place], place))
        if (place := self.early.least()) is not None:
            found.append((self._early(place) - day * price, place))
        if self.passed:
            found.append((self.passed[0] + day * LATE_DAY, self.passed[1]))
        return min(found)

    def _early(self, place: int) -> int:
        """What following this task early costs, but for the day on which that is done."""
        return self.costs[place] + self.opens[place] * self.group.pattern.early_price

    def _go_on_to(self, day: int) -> None:
        while self.seen < len(self.slots) and self.days[self.seen] < day:
            self.early.add(self.seen)
            self.seen += 1
        while self.opened < self.seen and self.opens[self.opened] <= day:
            self.open.add(self.opened)
            self.opened += 1
        self.early.leave(lambda place: self.opens[place] <= day)
        self.open.leave(lambda place: self._lawful(place) < day)
        while self.gone < self.opened and (lawful := self._lawful(self.gone)) < day:
            late = (self.costs[self.gone] - lawful * LATE_DAY, self.gone)
            self.passed = min(self.passed or late, late)
            self.gone += 1

    def _lawful(self, place: int) -> int:
        return self.group.lawful[self.days[place]]

    def back_from(self, place: int) -> tuple[int, ...]:
        slots = []
        while place != START:
            slots.append(self.slots[place])
            place = self.before[place]
        return tuple(reversed(slots))


class _Window:
    """The least of what came last: places go in and out in the same order."""

    def __init__(self, value: Callable[[int], int]) -> None:
        self._value = value
        self._kept: deque[int] = deque()

    def add(self, place: int) -> None:
        while self._kept and self._value(self._kept[-1]) >= self._value(place):
            self._kept.pop()
        self._kept.append(place)

    def leave(self, gone: Callable[[int], bool]) -> None:
        while self._kept and gone(self._kept[0]):
            self._kept.popleft()

    def least(self) -> int | None:
        return self._kept[0] if self._kept else None
