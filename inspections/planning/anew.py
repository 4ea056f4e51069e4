"""Improves a plan by planning a part of it anew and leaving the rest: weeks, or what is shared.

Needs OR-Tools. A part is small enough for the solver to find its best in seconds.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import replace
from random import Random

from inspections.planning.hand_out import Counts
from inspections.planning.house import Task, day_of
from inspections.planning.model import Terms, YearModel
from inspections.planning.model_strength import resources_of
from inspections.planning.outcome import Options
from inspections.planning.solver import Solved, counts_of, minimise_part

LEAST_DAYS, SHARED_LONGER = 35, 2
PART_SECONDS = 12.0
WIDER, NARROWER = 1.15, 0.9


class PlanningAnew:
    """A model of the year, and the plan in hand as counts."""

    def __init__(
        self, year: YearModel, aim: Terms, tasks: Iterable[Task], value: int, options: Options
    ) -> None:
        self.year = year
        # One worker: the other core proves the bound meanwhile.
        self.options = replace(options, workers=1)
        year.cp.minimize(aim.expression())
        self.random = Random(options.seed)  # nosec B311 - it searches, it keeps no secret
        self.value = value
        self.counts = dict(counts_of(year, tasks))
        self.days = float(max(LEAST_DAYS, year.house.days // 6))

    def run(self, seconds: float, found: Callable[[Counts], None], least: int = 0) -> None:
        """One part after the other while the time lasts and there is anything to win."""
        end = time.monotonic() + seconds
        while (left := end - time.monotonic()) > 1 and self.value > least:
            solved = self._part(self._chosen(), min(PART_SECONDS, left))
            # Parts that are solved to the end may be larger, others must be smaller.
            longer = self.days * (WIDER if solved.proven else NARROWER)
            self.days = min(max(longer, LEAST_DAYS), float(self.year.house.days))
            if solved.value is not None and solved.value < self.value:
                self.value, self.counts = solved.value, solved.counts
                found(solved.counts)

    def _chosen(self) -> Callable[[tuple[int, int]], bool]:
        """Whether a group's half-day may change: in some weeks, or what shares a resource."""
        days, tags = self.days, sorted(self.year.made)
        groups = {group.number for group in self.year.groups}
        if tags and self.random.random() < 1 / 3:
            tag = self.random.choice(tags)
            days *= SHARED_LONGER
            groups = {g.number for g in self.year.groups if tag in resources_of(g.pattern)}
        first = self.random.uniform(-days / 2, self.year.house.days - days / 2)
        return lambda key: key[0] in groups and first <= day_of(key[1]) < first + days

    def _part(self, free: Callable[[tuple[int, int]], bool], seconds: float) -> Solved:
        part = self.year.cp.clone()
        part.clear_hints()
        for key, var in self.year.begun.items():
            same = part.get_int_var_from_proto_index(var.index)
            count = min(self.counts.get(key, 0), self.year.most[key])
            if free(key):
                part.add_hint(same, count)
            else:
                part.add(same == count)
        return minimise_part(self.year, part, seconds, self.options)
