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
        self.lawful: list[int] = []
        self.seen = self.opened = self.gone = 0
        """How many of them lie on earlier days, can be followed at no extra price, only late."""
        self.early, self.open = _Window(), _Window()
        self.passed: tuple[int, int] | None = None
        """The least cost of a chain that can only be followed late, as if on day 0, and its end."""

    def add(self, slot: int, day: int, cost: int, before: int) -> None:
        self.slots.append(slot)
        self.days.append(day)
        self.costs.append(cost)
        self.before.append(before)
        self.opens.append(self.group.due[day] - self.group.pattern.early_days)
        self.lawful.append(self.group.lawful[day])

    def cheapest_before(self, day: int, plan: Plan) -> tuple[int, int]:
        """The least that a chain has cost before a task on this day, and what it ends with."""
        price = self.group.pattern.early_price
        self._go_on_to(day, price)
        start = max(0, plan.first_due - plan.early_days - day) * price
        found = (start + max(0, day - max(0, plan.first_lawful)) * LATE_DAY, START)
        if self.open.kept:
            found = min(found, self.open.kept[0])
        if self.early.kept:
            cost, place = self.early.kept[0]
            found = min(found, (cost - day * price, place))
        if self.passed:
            found = min(found, (self.passed[0] + day * LATE_DAY, self.passed[1]))
        return found

    def _go_on_to(self, day: int, price: int) -> None:
        """A later day opens later, so both windows lose what they got first."""
        while self.seen < len(self.days) and self.days[self.seen] < day:
            # What following it early costs, but for the day on which that is done.
            self.early.add(self.costs[self.seen] + self.opens[self.seen] * price, self.seen)
            self.seen += 1
        while self.opened < self.seen and self.opens[self.opened] <= day:
            self.open.add(self.costs[self.opened], self.opened)
            self.opened += 1
        while self.gone < self.opened and self.lawful[self.gone] < day:
            late = (self.costs[self.gone] - self.lawful[self.gone] * LATE_DAY, self.gone)
            self.passed = min(self.passed or late, late)
            self.gone += 1
        self.early.leave(self.opened)
        self.open.leave(self.gone)

    def back_from(self, place: int) -> tuple[int, ...]:
        slots = []
        while place != START:
            slots.append(self.slots[place])
            place = self.before[place]
        return tuple(reversed(slots))


class _Window:
    """The least of what came last, first of `kept`: places go in and out in the same order."""

    def __init__(self) -> None:
        self.kept: deque[tuple[int, int]] = deque()

    def add(self, cost: int, place: int) -> None:
        while self.kept and self.kept[-1][0] >= cost:
            self.kept.pop()
        self.kept.append((cost, place))

    def leave(self, first: int) -> None:
        """All before this place go."""
        while self.kept and self.kept[0][1] < first:
            self.kept.popleft()
