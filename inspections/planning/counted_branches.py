"""Branches of a relaxed year: at most so many visits or set-ups in a stretch of days, or one more.

Needs HiGHS and numpy. A relaxed plan makes one and a half visits a year, and dear rows do not
help, for they hold for one visit as for two. With each number told apart the rows bite again, and
they hold in every branch, so all branches share them. What the worst branch costs is proven. Days
on their own are no branch: a visit is as cheap on the day after.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from math import ceil, floor, inf

from inspections.planning.linear_bound import Tightening
from inspections.planning.model import Tag, YearModel
from inspections.planning.model_rows import safe
from inspections.planning.model_strength import unit_of
from inspections.planning.relaxed import Limits
from inspections.planning.window_needs import Values

STEP, LONGEST = 30, 6
"""Days between the ends of stretches, and the most of such steps; and the whole of the days."""
WHOLE_RATE, PART_RATE = 0.1, 0.03
"""What a branch is worth before any was tried, as a share of the price of what it rounds."""
NEARLY_WHOLE = 0.03
WORTH_ROWS, WORTH_NEW_ROWS = 8e-5, 5e-4
"""Rows are sought in a branch while they raise it by such a share; and again in branches that
differ so much from where they came from."""
WORSE_COUNTS = 0.2
"""Of its two sides the one that gains more counts so much beside the other."""
PROMISING = 5e-4
"""The share by which the first two branches must be dearer than what they come from."""


@dataclass(frozen=True)
class _Stretch:
    """Visits or set-ups of one sort in some days, by their variables."""

    tag: Tag
    whole: bool
    price: int
    vars: tuple[int, ...]


@dataclass
class _Branch:
    """What holds in it, the plan relaxed under that, and whether rows are worth seeking in it."""

    limits: tuple[Limits, ...]
    least: int
    values: Values
    rows_worth: bool
    over: bool = False
    """Nothing is left to branch on, or there was no time for it."""


@dataclass
class _Rates:
    """For each sort of stretch what rounding up or down was worth until now, on average."""

    sums: dict[tuple[Tag, bool, bool], tuple[float, int]] = field(default_factory=dict)

    def of(self, stretch: _Stretch, *, up: bool) -> float:
        total, count = self._known(stretch, up)
        return total / count

    def learn(self, stretch: _Stretch, rate: float, *, up: bool) -> None:
        total, count = self._known(stretch, up)
        self.sums[stretch.tag, stretch.whole, up] = total + rate, count + 1

    def _known(self, stretch: _Stretch, up: bool) -> tuple[float, int]:
        """The sum of the rates and their number, as if the first guess were one of them."""
        first = WHOLE_RATE if stretch.whole else PART_RATE
        return self.sums.get((stretch.tag, stretch.whole, up), (first, 1))


class CountedBranches:
    """Goes on where rows alone stopped."""

    def __init__(self, tightening: Tightening, cores: Callable[[], int] = lambda: 1) -> None:
        """`cores`: how many branches may be solved at once, now."""
        self.tightening, self.program = tightening, tightening.program
        self.stretches = list(_stretches(tightening.year))
        self.cores = cores
        self.rates = _Rates()
        self.branches: list[_Branch] = []
        self.end = 0.0

    def promise(self, seconds: float) -> bool:
        """Whether to go on after the first branches: there are houses whose relaxed plan has hardly
        a count to round, and solvers know better what to do with those."""
        values, self.end = self.tightening.values, time.monotonic() + seconds
        least = self.tightening.found.least
        if values is None:
            return False
        first = _Branch((), least, values, rows_worth=False)
        self.branches = [first]
        self._branch(first)
        cheapest = min((one.least for one in self.branches), default=least)
        return cheapest > least * (1 + PROMISING)

    def run(self, seconds: float, hear: Callable[[int], None]) -> int:
        """Go on from the first branches: what is proven when the time is over, in the smallest
        coin; told whenever it rises."""
        self.end, least = time.monotonic() + seconds, self.tightening.found.least
        while time.monotonic() < self.end and self.branches:
            worst, *others = sorted(self.branches, key=lambda branch: branch.least)
            self.tightening.values = worst.values
            if worst.over:
                break
            if worst.rows_worth:
                more = [other for other in others if other.rows_worth]
                self._add_rows([worst, *more[: self.cores() - 1]])
            else:
                self._branch(worst)
            now = min((branch.least for branch in self.branches), default=least)
            if now > least:
                least = now
                hear(least)
        return least

    def _add_rows(self, some: Sequence[_Branch]) -> None:
        """Rows that these branches break hold in all; each of them is solved again."""
        rows = {row.key: row for one in some for row in self.tightening.finder.broken(one.values)}
        for one in some:
            one.rows_worth = False
        if not rows:
            return
        self.program.drop_loose(*(one.values for one in self.branches))
        self.program.add(list(rows.values()))
        solved = self._solved([one.limits for one in some])
        for one, (value, values) in zip(some, solved, strict=True):
            if values is None:
                self._close(one, value)
                continue
            one.rows_worth = safe(value) > one.least * (1 + WORTH_ROWS)
            one.least, one.values = max(one.least, safe(value)), values

    def _solved(self, under: Sequence[tuple[Limits, ...]]) -> list[tuple[float, Values | None]]:
        """The relaxed plan under each of these limits."""

        def solve(limits: tuple[Limits, ...]) -> tuple[float, Values | None]:
            return self.program.solved(self.end - time.monotonic(), limits)

        with ThreadPoolExecutor(min(self.cores(), len(under))) as pool:
            return list(pool.map(solve, under))

    def _close(self, branch: _Branch, value: float) -> None:
        """There is no plan in it, or the time is over."""
        if value == inf:
            self.branches.remove(branch)
        else:
            branch.over = True

    def _branch(self, branch: _Branch) -> None:
        stretch = self._worth_most(branch.values)
        if stretch is None:
            branch.over = True
            return
        count = sum(branch.values[n] for n in stretch.vars)
        down = Limits(stretch.vars, -inf, floor(count))
        up = Limits(stretch.vars, ceil(count), inf)
        under = [(*branch.limits, limits) for limits in (down, up)]
        solved = self._solved(under)
        found = [_under(branch, *both) for both in zip(under, solved, strict=True)]
        if any(one is not None and one.over for one in found):
            branch.over = True
            return
        self._learn(branch, stretch, count, found)
        self.branches.remove(branch)
        self.branches += [one for one in found if one is not None]

    def _learn(
        self, branch: _Branch, stretch: _Stretch, count: float, found: Sequence[_Branch | None]
    ) -> None:
        sides = ((count - floor(count), found[0], False), (ceil(count) - count, found[1], True))
        for part, one, up in sides:
            if one is not None:
                rate = (one.least - branch.least) / (part * stretch.price)
                self.rates.learn(stretch, rate, up=up)

    def _worth_most(self, values: Values) -> _Stretch | None:
        best, most = None, 0.0
        for stretch in self.stretches:
            count = sum(values[n] for n in stretch.vars)
            part = count - floor(count)
            if not NEARLY_WHOLE < part < 1 - NEARLY_WHOLE:
                continue
            down = self.rates.of(stretch, up=False) * part * stretch.price
            up = self.rates.of(stretch, up=True) * (1 - part) * stretch.price
            worth = min(down, up) + WORSE_COUNTS * max(down, up)
            if worth > most:
                best, most = stretch, worth
        return best


def _under(
    branch: _Branch, limits: tuple[Limits, ...], solved: tuple[float, Values | None]
) -> _Branch | None:
    """The branch with these limits as it was solved; none: there is no plan in it."""
    value, values = solved
    if value == inf:
        return None
    if values is None:
        return _Branch(limits, branch.least, branch.values, rows_worth=False, over=True)
    worth = safe(value) > branch.least * (1 + WORTH_NEW_ROWS)
    return _Branch(limits, max(branch.least, safe(value)), values, worth)


def _stretches(year: YearModel) -> Iterator[_Stretch]:
    marks = [*range(0, year.house.days, STEP), year.house.days]
    for tag, units in sorted(year.made.items()):
        prices = year.cost[tag].weights
        if not units or not prices:
            continue
        a_day = 1 + (unit_of(year, tag, 1) == 1)
        for place, first in enumerate(marks):
            for end in marks[place + 1 :]:
                whole = end - first == year.house.days
                if first and end - first > LONGEST * STEP:
                    continue
                some = tuple(v.index for n, v in units.items() if first <= n // a_day < end)
                if some:
                    yield _Stretch(tag, whole, max(prices), some)
