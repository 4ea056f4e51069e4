"""Improves a plan by planning a part of it anew and leaving the rest: a few groups all year, or
what shares resources for some weeks. Needs OR-Tools.

A part that was planned as well as can be is left alone until something else has changed; one that
took too long is given longer the next time, or is smaller.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from random import Random

from inspections.planning.hand_out import Counts
from inspections.planning.house import Task
from inspections.planning.model import Terms, YearModel
from inspections.planning.parts_of_a_plan import PartsOfAPlan
from inspections.planning.program import Key, Program
from inspections.planning.solver import counts_of
from inspections.planning.window_cuts import Cut

PART_SECONDS = 12.0
FIRST_SIZE, LEAST_SIZE = 350, 60
"""Half-days of groups that are left free in a part."""
WIDER, NARROWER = 1.15, 0.9
TRIES = 30
"""How often another part is looked for when one need not be planned anew."""


@dataclass
class _Tried:
    """How a part came out: after how many changes of the plan its best was found, and how often
    the time did not suffice."""

    changes: int = -1
    unfinished: int = 0


class PlanningAnew:
    """A model of the year, and the plan in hand as counts."""

    def __init__(
        self, year: YearModel, aim: Terms, tasks: Iterable[Task], value: int, seed: int
    ) -> None:
        self.year = year
        self.program = Program(year, aim, whole=True)
        self.parts = PartsOfAPlan(year, Random(seed))  # nosec B311 - it searches, keeps no secret
        self.value = value
        self.counts = dict(counts_of(year, tasks))
        self.size, self.changes = float(FIRST_SIZE), 0
        self.tried: dict[frozenset[Key], _Tried] = defaultdict(_Tried)
        self.changed: dict[int, int] = defaultdict(int)

    def run(
        self,
        seconds: float,
        found: Callable[[Counts], None],
        least: int = 0,
        rows: Callable[[], list[Cut]] = list,
    ) -> None:
        """One part after the other while the time lasts and there is anything to win; `rows` are
        those that became known meanwhile."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 1 and self.value > least and self.year.begun:
            self.program.add(rows())
            free = self._next()
            tried = self.tried[free]
            self._leave_free(free)
            longer = 1 + len(free) // FIRST_SIZE
            allowed = min(PART_SECONDS * longer * 2**tried.unfinished, left)
            solved = self.program.improved(self.year, self.counts, allowed)
            self._resize(tried, proven=solved.proven)
            if solved.value is not None and solved.value < self.value:
                self._take(solved.value, solved.counts)
                found(solved.counts)
            if solved.proven:
                tried.changes = self.changes

    def _take(self, value: int, counts: dict[Key, int]) -> None:
        """A better plan: what shares something with what changed may be better still."""
        self.changes += 1
        both = (*self.counts.items(), *counts.items())
        for key in {key for key, n in both if self.counts.get(key, 0) != counts.get(key, 0)}:
            self.changed[self.parts.island[key[0]]] = self.changes
        self.value, self.counts = value, counts

    def _resize(self, tried: _Tried, *, proven: bool) -> None:
        tried.unfinished += not proven
        self.size *= WIDER if proven else NARROWER
        self.size = min(max(self.size, LEAST_SIZE), float(len(self.year.begun)))

    def _next(self) -> frozenset[Key]:
        """A part that may still be planned better; larger ones when there is none."""
        for _ in range(TRIES):
            free = self.parts.chosen(self.size)
            changed = max((self.changed[self.parts.island[key[0]]] for key in free), default=0)
            if free and self.tried[free].changes < changed:
                return free
            self.size = min(self.size * WIDER, float(len(self.year.begun)))
        return frozenset(self.year.begun)

    def _leave_free(self, free: frozenset[Key]) -> None:
        for key, var in self.year.begun.items():
            most, count = self.year.most[key], min(self.counts.get(key, 0), self.year.most[key])
            self.program.hold(var.index, *((0, most) if key in free else (count, count)))
