"""Two plans a person could make: the earliest half-day that fits, and the cheapest one. Pure."""

from __future__ import annotations

import heapq
from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import replace

from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group
from inspections.planning.house import House, Plan, Task
from inspections.planning.load import Load

Window = tuple[int, int, int]
"""First day allowed, due day, last lawful day."""
Chosen = int | None
Choice = Callable[[Load, Group, Window], Chosen]


def earliest_fit(house: House, groups: list[Group], capacity: Capacity) -> list[Task]:
    """Each task as soon as its early days begin, where it fits."""
    return _fill(house, groups, capacity, _earliest)


def cheapest_fit(house: House, groups: list[Group], capacity: Capacity) -> list[Task]:
    """Each task where it costs least, days of validity given away counted."""
    return _fill(house, groups, capacity, cheapest)


def repaired(house: House, groups: list[Group], capacity: Capacity) -> list[Task]:
    """The agreed plan with all of it that still can stay, and the gaps filled where cheapest."""
    load, kept = Load(house, capacity), set(house.locked)
    group_of = {plan.key: group for group in groups for plan in group.members}
    for task in sorted(house.locked):
        load.put(group_of[task.plan], task.slot)
    for task in sorted(house.agreed - house.locked, key=lambda task: (task.slot, task.plan)):
        group = group_of.get(task.plan)
        if group and task.slot in group.slots and load.fits(group, task.slot):
            load.put(group, task.slot)
            kept.add(task)
    return _fill(replace(house, locked=frozenset(kept)), groups, capacity, cheapest)


def next_window(group: Group, plan: Plan, number: int, last_day: int | None) -> Window | None:
    """The window of a plan's next task; None when nothing more is asked of it."""
    if group.anchored:
        if number >= len(plan.due_days):
            return None
        due = plan.due_days[number]
        after = 0 if last_day is None else last_day + 1
        return max(due.opens, after), due.due, due.last_lawful
    if last_day is None:
        return 0, plan.first_due, plan.first_lawful
    return last_day + 1, group.due[last_day], group.lawful[last_day]


def _fill(house: House, groups: list[Group], capacity: Capacity, choose: Choice) -> list[Task]:
    filling = _Filling(house, groups, capacity, choose)
    while filling.waiting:
        filling.step()
    return filling.tasks()


class _Filling:
    """The most urgent task first, until nothing falls due within the year."""

    def __init__(
        self, house: House, groups: list[Group], capacity: Capacity, choose: Choice
    ) -> None:
        self.house, self.groups, self.choose = house, groups, choose
        self.load = Load(house, capacity)
        self.begun: dict[str, list[int]] = {plan.key: [] for plan in house.plans}
        self.locked: dict[str, list[int]] = {plan.key: [] for plan in house.plans}
        self.waiting: list[tuple[int, int, int]] = []
        for task in sorted(house.locked):
            self.locked[task.plan].append(task.slot)
        for group in groups:
            for member, plan in enumerate(group.members):
                for slot in self.locked[plan.key]:
                    self.load.put(group, slot)
                self._push(group, member)

    def _window(self, group: Group, plan: Plan) -> Window | None:
        done = self.begun[plan.key]
        return next_window(group, plan, len(done), group.done_on(done[-1]) if done else None)

    def _push(self, group: Group, member: int) -> None:
        window = self._window(group, group.members[member])
        if window and window[2] < self.house.days:
            heapq.heappush(self.waiting, (window[2], group.number, member))

    def step(self) -> None:
        """Plan the most urgent task."""
        _, number, member = heapq.heappop(self.waiting)
        group = self.groups[number]
        plan = group.members[member]
        window = self._window(group, plan)
        slot = self._slot(group, plan, window) if window else None
        if slot is not None:
            self.begun[plan.key].append(slot)
            self._push(group, member)

    def _slot(self, group: Group, plan: Plan, window: Window) -> Chosen:
        """What is locked within the window, or no later than the day chosen, is the next one."""
        locked = self.locked[plan.key]
        # What is locked may be all that the plan may still have.
        all_there_are = len(self.begun[plan.key]) + len(locked) >= len(plan.due_days)
        late_but_next = group.anchored and all_there_are
        if locked and (group.done_on(locked[0]) <= window[2] or late_but_next):
            return locked.pop(0)
        slot = self.choose(self.load, group, window)
        if locked and (slot is None or group.done_on(slot) >= group.done_on(locked[0])):
            return locked.pop(0)
        if slot is not None:
            self.load.put(group, slot)
        return slot

    def tasks(self) -> list[Task]:
        """What was planned, and what is locked after all that had to be."""
        every = {key: slots + self.locked[key] for key, slots in self.begun.items()}
        return sorted(Task(key, slot) for key, slots in every.items() for slot in slots)


def _earliest(load: Load, group: Group, window: Window) -> Chosen:
    first, due, _ = window
    opens = max(first, due - group.pattern.early_days)
    return first_that_fits(load, group, opens)


def first_that_fits(load: Load, group: Group, day: int) -> Chosen:
    """The first half-day with room whose work is done on this day or later."""
    begin = bisect_left(group.slots, 2 * day - group.pattern.duration + 1)
    return next((slot for slot in group.slots[begin:] if load.fits(group, slot)), None)


def cheapest(load: Load, group: Group, window: Window) -> Chosen:
    """The cheapest half-day that is not late; else the first one after; the later of two equal."""
    first, due, lawful = window
    length = group.pattern.duration
    low = bisect_left(group.slots, 2 * first - length + 1)
    high = bisect_right(group.slots, 2 * lawful + 2 - length)
    best: tuple[int, int] | None = None
    for slot in reversed(group.slots[low:high]):
        day = group.done_on(slot)
        given_away = priced(group, day, due, lawful)
        if best is not None and given_away >= best[0]:
            break
        if load.fits(group, slot):
            price = given_away + load.extra_price(group, slot)
            if best is None or price < best[0]:
                best = (price, slot)
    return best[1] if best else first_that_fits(load, group, max(first, lawful + 1))


def priced(group: Group, day: int, due: int, lawful: int) -> int:
    """Money: validity given away by being done this day, and days too early."""
    early = max(0, due - group.pattern.early_days - day)
    return group.rate * max(0, lawful - day) + early * group.pattern.early_price
