"""Improves a plan by planning a part of it anew and leaving the rest: a few groups all year, or
what shares resources for some weeks. Needs OR-Tools.

A part that was planned as well as can be is left alone until something else has changed; one that
took too long is given longer the next time, or is smaller.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from random import Random
from types import MappingProxyType

from ortools.math_opt.python import mathopt  # type: ignore[import-untyped]

from inspections.planning.hand_out import Counts
from inspections.planning.house import Task
from inspections.planning.model import Terms, YearModel
from inspections.planning.parts_of_a_plan import (
    CROSSED,
    GROUPS,
    MADE,
    UNITS,
    WEEKS,
    WHOLE,
    Part,
    PartsOfAPlan,
    Unit,
)
from inspections.planning.program import Key, Program
from inspections.planning.solver import counts_of
from inspections.planning.window_cuts import Cut

PART_SECONDS = {MADE: 30.0, CROSSED: 8.0, WHOLE: 24.0, UNITS: 12.0, GROUPS: 12.0, WEEKS: 12.0}
FIRST_SIZES = {UNITS: 30.0, GROUPS: 350.0, WEEKS: 350.0}
"""Half-days of groups that are left free in a part; beside those with visits and set-ups."""
LEAST_SIZE = 10.0
WIDER, NARROWER = 1.25, 0.8
QUICK, SLOW = 0.5, 2.5
"""Seconds below which parts become larger, and so many times as long beyond which they become
smaller: small parts find the most at first."""
LONGER, SHORTER, LONGEST = 1.06, 0.7, 5.0
"""Each part that wins nothing may take so much longer than the one before, up to so many seconds;
one that wins makes the next ones quicker again."""
NOTHING: Mapping[Unit, float] = MappingProxyType({})
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
        self,
        year: YearModel,
        aim: Terms,
        tasks: Iterable[Task],
        value: int,
        seed: int,
        *,
        paid: bool = True,
    ) -> None:
        """`paid`: the aim is money, so that days with visits and set-ups matter."""
        self.year = year
        self.program = Program(year, aim)
        random = Random(seed)  # nosec B311 - it searches, keeps no secret
        self.parts = PartsOfAPlan(year, random, paid=paid)
        self.value = value
        self.counts = dict(counts_of(year, tasks))
        self.sizes, self.changes, self.quick = dict(FIRST_SIZES), 0, QUICK
        self.tried: dict[frozenset[Key], _Tried] = defaultdict(_Tried)
        self.changed: dict[int, int] = defaultdict(int)

    def run(
        self,
        seconds: float,
        found: Callable[[Counts], None],
        least: int = 0,
        rows: Callable[[], list[Cut]] = list,
        likely: Mapping[Unit, float] = NOTHING,
        others: Iterable[Iterable[Task]] = (),
        stalled: Callable[[float], bool] = lambda _: False,
    ) -> None:
        """One part after the other while the time lasts and there is anything to win; `rows` are
        those that became known meanwhile, `likely` how much of each visit and set-up the relaxed
        year makes; the days of `others`, plans of the same year, the best first, are tried in this one;
        `stalled` is told the seconds since the last better plan, once what is tried first has been,
        and says whether to stop."""
        self.parts.likely = likely
        self.parts.cross_with([self.parts.made_in(counts_of(self.year, one)) for one in others])
        won = time.monotonic()
        end = won + seconds
        while (left := end - time.monotonic()) > 1 and self.value > least and self.year.begun:
            if self.parts.first:
                won = time.monotonic()
            elif stalled(time.monotonic() - won):
                break
            self.program.add(rows())
            part = self._next()
            tried = self.tried[part.free]
            self._leave_free(part.free)
            allowed = min(PART_SECONDS[part.way] * 2**tried.unfinished, left)
            began = time.monotonic()
            solved = self.program.improved(self.year, self.counts, allowed, self._solver(part.way))
            tried.unfinished += not solved.proven
            self.quick = min(LONGEST, self.quick * LONGER)
            self._resize(part.way, time.monotonic() - began if solved.proven else allowed)
            if solved.value is not None and solved.value < self.value:
                won = time.monotonic()
                self._take(solved.value, solved.counts)
                found(solved.counts)
            if solved.proven:
                tried.changes = self.changes

    def _solver(self, way: str) -> mathopt.SolverType:
        """Where money is the aim HiGHS solves parts sooner than SCIP, but small islands do not."""
        quick = self.parts.paid and way != WHOLE
        return mathopt.SolverType.HIGHS if quick else mathopt.SolverType.GSCIP

    def _take(self, value: int, counts: dict[Key, int]) -> None:
        """A better plan: what shares something with what changed may be better still."""
        self.changes += 1
        self.quick = max(QUICK, self.quick * SHORTER)
        both = (*self.counts.items(), *counts.items())
        for key in {key for key, n in both if self.counts.get(key, 0) != counts.get(key, 0)}:
            self.changed[self.parts.island[key[0]]] = self.changes
        self.value, self.counts = value, counts

    def _resize(self, way: str, seconds: float) -> None:
        if way in self.sizes:
            slow = self.quick * SLOW
            by = WIDER if seconds < self.quick else NARROWER if seconds > slow else 1.0
            self.sizes[way] = min(
                max(self.sizes[way] * by, LEAST_SIZE), float(len(self.year.begun))
            )

    def _next(self) -> Part:
        """A part that may still be planned better; larger ones when there is none."""
        for _ in range(TRIES):
            part = self.parts.chosen(self.sizes, self.counts)
            changed = max((self.changed[self.parts.island[key[0]]] for key in part.free), default=0)
            if part.free and self.tried[part.free].changes < changed:
                return part
            self._resize(part.way, 0.0)
        return Part(WHOLE, frozenset(self.year.begun))

    def _leave_free(self, free: frozenset[Key]) -> None:
        for key, var in self.year.begun.items():
            most, count = self.year.most[key], min(self.counts.get(key, 0), self.year.most[key])
            self.program.hold(var.index, *((0, most) if key in free else (count, count)))
