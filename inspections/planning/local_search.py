"""Makes a plan cheaper by emptying a visit, a set-up or a day and refilling the gaps, or by laying
the whole chains of what was in it anew. Pure.

It goes through dearer plans to cheaper ones while it is hot (annealing), and is never later or
dearer than the plan it starts from. The same seed and number of steps give the same plan.
"""

from __future__ import annotations

import time
from bisect import bisect_left, bisect_right, insort
from collections.abc import Callable
from math import log
from random import Random

from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group
from inspections.planning.house import PER_DAY, House, Plan, Task, day_of
from inspections.planning.load import Load
from inspections.planning.whole_chain import LATE_DAY, can_be_chained, cheapest_chain

Where = tuple[Group, int]
"""A group and the place of a member in it."""
WHOLE_CHAINS = 0.06
"""How often whole chains are laid anew: slower than filling gaps, and saves tasks."""
HEAT, STEPS_A_TASK, SOON = 0.5, 10, 0.01
"""How much dearer a step may make the plan at first, in the money of one task, and the steps a
task that this takes."""


class LocalSearch:
    """A plan with its load; `run` improves it in place."""

    def __init__(
        self, house: House, groups: list[Group], capacity: Capacity, tasks: list[Task], seed: int
    ) -> None:
        self.house = house
        self.random = Random(seed)  # nosec B311 - it searches, it keeps no secret
        self.load = Load(house, capacity)
        self.where: dict[str, Where] = {
            plan.key: (group, m) for group in groups for m, plan in enumerate(group.members)
        }
        self.begun: dict[str, list[int]] = {key: [] for key in self.where}
        self.fixed = house.agreed | house.locked
        self.held = {task.plan for task in self.fixed}
        self.at: dict[int, set[Task]] = {}
        self.change, self.heat = 0, 0.0
        self.paid = sum(self._put(task) + house.plan_of[task.plan].price for task in sorted(tasks))

    def run(self, steps: int, over: Callable[[], float] | None = None) -> list[Task]:
        """So many steps, or until the share of its time that is over is 1; the plan after them."""
        start = self.tasks()
        self.change, done = 0, 0
        while done < steps and (gone := over() if over else done / steps) < 1:
            # A search of few steps for its tasks has no time to become worse first.
            hurry = min(1.0, done / (max(gone, SOON) * STEPS_A_TASK * max(1, len(start))))
            self.heat = HEAT * self._money_a_task(start) * hurry * (1 - gone) ** 2
            self._step()
            done += 1
        return self.tasks() if self.change <= 0 else start

    def _money_a_task(self, tasks: list[Task]) -> float:
        return self.paid / max(1, len(tasks))

    def tasks(self) -> list[Task]:
        return sorted(Task(key, slot) for key, slots in self.begun.items() for slot in slots)

    def _accepts(self, more: int) -> bool:
        """What is no dearer, and while the search is hot now and then what is: the dearer, the
        less often."""
        kept = more <= 0 or more < -self.heat * log(1 - self.random.random())
        if kept:
            self.change += more
        return kept

    # -- one step ------------------------------------------------------------------------------
    def _step(self) -> None:
        out = self._chosen()
        if not out:
            return
        if self.random.random() < WHOLE_CHAINS and all(self._chained(task.plan) for task in out):
            self._chains_anew(out)
        else:
            self._gaps_anew(out)

    def _gaps_anew(self, out: list[Task]) -> None:
        before = sum(self._own_cost(key) for key in {task.plan for task in out})
        saved = sum(self._take(task) for task in out)
        put, paid = self._refill(out)
        after = sum(self._own_cost(key) for key in {task.plan for task in out})
        if put is not None and self._accepts(paid + after - saved - before):
            return
        for task in reversed(put if put is not None else self._partly):
            self._take(task)
        for task in out:
            self._put(task)

    def _chained(self, key: str) -> bool:
        return key not in self.held and can_be_chained(self.where[key][0])

    def _chains_anew(self, out: list[Task]) -> None:
        """Take these out, then each plan's other tasks as well, and lay its cheapest chain."""
        keys = list(dict.fromkeys(task.plan for task in out))
        old = [Task(key, slot) for key in keys for slot in self.begun[key]]
        before = sum(self._own_cost(key) for key in keys)
        saved, paid = sum(self._take(task) for task in out), 0
        for key in keys:
            group, member = self.where[key]
            saved += sum(self._take(Task(key, slot)) for slot in list(self.begun[key]))
            chain = cheapest_chain(self.load, group, group.members[member])
            paid += sum(self._put(Task(key, slot)) for slot in chain.slots)
        if self._accepts(paid + sum(self._own_cost(key) for key in keys) - saved - before):
            return
        for key in keys:
            for slot in list(self.begun[key]):
                self._take(Task(key, slot))
        for task in old:
            self._put(task)

    def _chosen(self) -> list[Task]:
        """What to take out: one day's tasks of one resource, or all of the day, or one plan's."""
        days = [day for day, tasks in self.at.items() if tasks]
        if not days:
            return []
        tasks = sorted(self.at[self.random.choice(days)])
        one = self.random.choice(tasks)
        plan, way = self.house.plan_of[one.plan], self.random.random()
        if way < 0.35 and plan.examiner:
            tasks = [t for t in tasks if self.house.plan_of[t.plan].examiner == plan.examiner]
        elif way < 0.7 and plan.set_ups:
            key = self.random.choice(sorted(plan.set_ups))
            tasks = [t for t in tasks if self._shares(t, one, key)]
        elif way < 0.9:
            tasks = [one]
        tasks = [task for task in tasks if task not in self.fixed]
        self.random.shuffle(tasks)
        return tasks

    def _shares(self, task: Task, other: Task, key: str) -> bool:
        if key not in self.house.plan_of[task.plan].set_ups:
            return False
        return self.house.set_ups[key].per == PER_DAY or task.slot == other.slot

    def _refill(self, out: list[Task]) -> tuple[list[Task] | None, int]:
        """Fill each gap that must be filled where it costs least; None when one cannot be."""
        put: list[Task] = []
        paid, self._partly = 0, put
        for task in out:
            group, member = self.where[task.plan]
            window = self._gap(group, group.members[member], task)
            if window is None:
                continue
            best = self._best(group, window)
            if best is None:
                return None, 0
            paid += self._put(Task(task.plan, best))
            put.append(Task(task.plan, best))
        return put, paid

    def _gap(self, group: Group, plan: Plan, task: Task) -> tuple[int, int, int] | None:
        """First and last day, and the day before which it is early; None: nothing is missing."""
        slots = self.begun[plan.key]
        place = bisect_left(slots, task.slot)
        last = group.done_on(slots[place - 1]) if place else None
        following = group.done_on(slots[place]) if place < len(slots) else None
        if group.anchored:
            return self._anchored_gap(plan, place, last, following)
        lawful = plan.first_lawful if last is None else group.lawful[last]
        due = plan.first_due if last is None else group.due[last]
        if (self.house.days if following is None else following) <= lawful:
            return None
        first = 0 if last is None else last + 1
        if following is not None:
            first = max(first, bisect_left(group.lawful, following))
            lawful = min(lawful, following - 1)
        # What was late already may stay as late as it was.
        return first, max(lawful, group.done_on(task.slot)), due - plan.early_days

    def _anchored_gap(
        self, plan: Plan, place: int, last: int | None, following: int | None
    ) -> tuple[int, int, int]:
        due = plan.due_days[place]
        first = max(due.opens, 0 if last is None else last + 1)
        lawful = min(due.last_lawful, self.house.days if following is None else following - 1)
        return first, lawful, due.due - plan.early_days

    def _best(self, group: Group, window: tuple[int, int, int]) -> int | None:
        first, last, free_from = window
        length = group.pattern.duration
        low = bisect_left(group.slots, 2 * first - length + 1)
        high = bisect_right(group.slots, 2 * last + 2 - length)
        best, price = None, 0.0
        for slot in reversed(group.slots[low:high]):
            early = max(0, free_from - group.done_on(slot)) * group.pattern.early_price
            away = group.rate * (last - group.done_on(slot)) * self.random.random()
            if best is not None and early + away >= price:
                continue
            more = self.load.price_if_it_fits(group, slot)
            if more is not None and (best is None or early + away + more < price):
                best, price = slot, early + away + more
        return best

    # -- the plan ------------------------------------------------------------------------------
    def _own_cost(self, key: str) -> int:
        """Money of one plan's own tasks: their price, early days, validity used up at the end;
        a late day weighs more than any money."""
        group, member = self.where[key]
        plan, slots = group.members[member], self.begun[key]
        cost, due, lawful = plan.price * len(slots), plan.first_due, plan.first_lawful
        for number, slot in enumerate(slots):
            day = group.done_on(slot)
            if group.anchored:
                due, lawful = plan.due_days[number].due, plan.due_days[number].last_lawful
            if day < due - plan.early_days:
                cost += (due - plan.early_days - day) * plan.early_price
            if day > lawful:
                cost += (day - max(0, lawful)) * LATE_DAY
            due, lawful = group.due[day], group.lawful[day]
        if group.anchored:
            return cost
        cost += max(0, self.house.days - max(0, lawful)) * LATE_DAY
        return cost + group.rate * max(0, group.lawful[-1] - max(lawful, self.house.days))

    def _put(self, task: Task) -> int:
        group, _ = self.where[task.plan]
        paid = self.load.extra_price(group, task.slot)
        self.load.put(group, task.slot)
        insort(self.begun[task.plan], task.slot)
        self.at.setdefault(day_of(task.slot), set()).add(task)
        return paid

    def _take(self, task: Task) -> int:
        group, _ = self.where[task.plan]
        self.load.put(group, task.slot, -1)
        self.begun[task.plan].remove(task.slot)
        self.at[day_of(task.slot)].discard(task)
        return self.load.extra_price(group, task.slot)


def stop_after(seconds: float) -> Callable[[], float]:
    """A clock for `run`; without any time it is over at once."""
    began = time.monotonic()
    return lambda: (time.monotonic() - began) / seconds if seconds > 0 else 1.0
