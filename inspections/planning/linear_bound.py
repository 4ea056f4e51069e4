"""A proven bound from the year's model with fractions allowed, tightened round by round.

Needs OR-Tools, HiGHS and numpy. The linear program is solved, the rows it breaks and no plan does are
added (`window_cuts`), and so on while the time lasts; then branching goes on from there.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from inspections.planning.model import Tag, Terms, YearModel
from inspections.planning.model_rows import safe
from inspections.planning.program import Program
from inspections.planning.relaxed import Relaxed
from inspections.planning.window_cuts import Cut, WindowCuts
from inspections.planning.window_needs import Values

ROUNDS, SLOW_ROUNDS, SMALL_STEP = 40, 2, 6e-4


@dataclass
class Bound:
    """What is proven, and the rows that helped to prove it."""

    least: int = 0
    cuts: list[Cut] = field(default_factory=list)


Hear = Callable[[int], None]


def linear_bound(
    year: YearModel, aim: Terms, seconds: float, hear: Hear | None = None, rounds: int = ROUNDS
) -> Bound:
    """No plan of the model has a smaller value than this; 0 when it is not known in the time."""
    return Tightening(year, aim).run(seconds, hear, rounds)


class Tightening:
    """A relaxed model that is tightened round by round, and goes on where it was."""

    def __init__(self, year: YearModel, aim: Terms) -> None:
        self.year, self.aim, self.found = year, aim, Bound()
        self.values: Values | None = None
        """The relaxed plan; none before there is one."""
        self._slow = 0

    @cached_property
    def program(self) -> Relaxed:
        return Relaxed(self.year, self.aim)

    @cached_property
    def finder(self) -> WindowCuts:
        return WindowCuts(self.year)

    def run(self, seconds: float, hear: Hear | None = None, rounds: int = ROUNDS) -> Bound:
        """So many rounds more, while the time lasts and they help."""
        end = time.monotonic() + max(1.0, seconds)
        for _ in range(rounds):
            began = time.monotonic()
            if self.values is not None and not self._add_broken(self.values):
                break
            if not self._relax(end - time.monotonic()):
                break
            if hear:
                hear(self.found.least)
            now = time.monotonic()
            if self._slow >= SLOW_ROUNDS or now + (now - began) > end:
                break
        return self.found

    def made(self) -> dict[tuple[Tag, int], float]:
        """How much of each visit and set-up the relaxed plan makes; nothing before there is one."""
        values = self.values
        if values is None:
            return {}
        made = self.year.made.items()
        return {
            (tag, n): float(values[var.index]) for tag, units in made for n, var in units.items()
        }

    def _relax(self, seconds: float) -> bool:
        value, values = self.program.solved(seconds)
        if values is None:
            return False
        small = safe(value) < self.found.least * (1 + SMALL_STEP)
        self._slow = self._slow + 1 if small else 0
        self.found.least, self.values = max(self.found.least, safe(value)), values
        return True

    def _add_broken(self, values: Values) -> bool:
        """Rows that the relaxed plan breaks; none: nothing is left to find."""
        cuts = self.finder.broken(values)
        if not cuts:
            return False
        self.program.drop_loose(values)
        self.program.add(cuts)
        self.found.cuts = self.program.cuts
        return True


def branched_bound(
    year: YearModel, aim: Terms, bound: Bound, seconds: float, most: int | None = None
) -> int:
    """The bound that branching proves in the time, from the rows found before."""
    end = time.monotonic() + seconds
    program = Program(year, aim)
    program.add(bound.cuts)
    left = end - time.monotonic()
    return max(bound.least, program.branched(left, most)) if left > 1 else bound.least
