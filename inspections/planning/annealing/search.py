"""Makes a plan cheaper by emptying a visit, a set-up or a day and refilling the gaps, or by laying
the whole chains of what was in it anew. Needs Numba.

It goes through dearer plans to cheaper ones while it is hot (annealing), and is never later or
dearer than the plan it starts from. The same seed and number of steps give the same plan.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

import numpy as np

from inspections.planning.annealing.arrays import empty_state, facts_of, zeros
from inspections.planning.annealing.chains import empty_path, empty_window
from inspections.planning.annealing.room import put
from inspections.planning.annealing.steps import Hand, run
from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group
from inspections.planning.house import House, Task

HEAT, COLD = 1.0, 0.05
"""How much dearer a step may make the plan at first and at last, in the money of one task."""
STEPS_A_TASK, SOON = 10, 0.01
AT_ONCE = 2_000
"""Steps between two looks at the clock."""
TAKEN_OUT = 4
"""A step takes out at most what so many days hold."""


class LocalSearch:
    """A plan in hand; `run` improves it."""

    def __init__(
        self,
        house: House,
        groups: Sequence[Group],
        capacity: Capacity,
        tasks: Sequence[Task],
        seed: int,
    ) -> None:
        self.house, self.start = house, sorted(tasks)
        self.keys = [plan.key for group in groups for plan in group.members]
        self.facts = facts_of(house, groups, capacity)
        self.state = empty_state(house, self.facts, self.keys, self.start, seed)
        self.hand = self._hand()
        self.change = 0
        """The money that the plan in hand costs more than the one at the start."""
        self._put_in()
        # Compiled before anybody looks at the clock.
        run(self.facts, self.state, self.hand, 0, 0.0)

    def _put_in(self) -> None:
        place = {key: n for n, key in enumerate(self.keys)}
        paid = 0
        for task in self.start:
            paid += put(self.facts, self.state, place[task.plan], task.slot)
            paid += self.house.plan_of[task.plan].price
        self.money_a_task = paid / max(1, len(self.start))

    def _hand(self) -> Hand:
        most = self.state.begun.shape[1]
        out = TAKEN_OUT * self.state.at_plan.shape[1]
        longest = int(np.diff(self.facts.slot_start).max(initial=0))
        return Hand(
            zeros((most + 1) * out),
            zeros((most + 1) * out),
            zeros(out),
            zeros(out),
            zeros(out),
            empty_path(longest),
            empty_window(longest),
            empty_window(longest),
        )

    def run(self, steps: int, over: Callable[[], float] | None = None) -> list[Task]:
        """So many steps, or until the share of its time that is over is 1; the plan after them."""
        done = 0
        while done < steps and (gone := over() if over else done / steps) < 1:
            some = min(AT_ONCE, steps - done)
            self.change += run(self.facts, self.state, self.hand, some, self._heat(done, gone))
            done += some
        return self.tasks() if self.change <= 0 else self.start

    def _heat(self, done: int, gone: float) -> float:
        # A search of few steps for its tasks has no time to become worse first.
        hurry = min(1.0, done / (max(gone, SOON) * STEPS_A_TASK * max(1, len(self.start))))
        return self.money_a_task * hurry * HEAT * (COLD / HEAT) ** gone

    def tasks(self) -> list[Task]:
        """The plan in hand."""
        return sorted(
            Task(key, int(slot))
            for plan, key in enumerate(self.keys)
            for slot in self.state.begun[plan, : self.state.counts[plan]]
        )


def stop_after(seconds: float) -> Callable[[], float]:
    """A clock for `run`; without any time it is over at once."""
    began = time.monotonic()
    return lambda: (time.monotonic() - began) / seconds if seconds > 0 else 1.0
