"""Rows that the relaxed year breaks and no plan does: stretches of days and what they share.

A stretch of days needs work W of tasks that share a visit or a set-up, and one visit holds at
most C. Then k = W / C visits are needed, rounded up, and with r = W - (k - 1) C, for any choice of
the stretch's days: r times the visits on the chosen days, the work on the others, and what is
paid as early or late instead, are together at least k r (mixed-integer rounding). Where W fits
one visit a visit on a day serves only what is not needed before it: the inequalities of Barany,
Van Roy and Wolsey for lot sizes (1984).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inspections.planning.model import YearModel
from inspections.planning.shared_work import NO_LIMIT, SharedWork, shared_work
from inspections.planning.window_needs import Counts, Needs, Values, WindowNeeds

LEAST_BROKEN = 0.01
MOST_FROM_ONE, MOST_AT_ONCE = 150, 2000
"""For a year; three years have three times as many. Rows that do not press are dropped again, so
many at once cost little and save rounds."""
YEAR, LONGEST_LOTS = 365, 190
APART = 5


@dataclass(frozen=True, eq=False)
class Cut:
    """Weights of variables, each told once, whose sum is at least so much."""

    vars: Counts
    weights: Values
    least: float

    def value(self, values: Values) -> float:
        return float(self.weights @ values[self.vars])

    @property
    def key(self) -> bytes:
        """The same for rows that say the same."""
        return self.vars.tobytes() + self.weights.tobytes()


@dataclass(frozen=True)
class _Broken:
    """A stretch of days, how the row is written, and how much money is missing."""

    money: float
    first: int
    end: int
    way: str


class WindowCuts:
    """Finds the rows that a relaxed plan breaks most."""

    def __init__(self, year: YearModel) -> None:
        self.needs = {
            group.number: WindowNeeds(year, group)
            for group in year.groups
            if group.pattern.set_ups or group.pattern.examiner
        }
        self.shared = shared_work(year)
        self.years = -(-year.house.days // YEAR)

    def broken(self, values: Values) -> list[Cut]:
        """The rows that this relaxed plan breaks, the dearest first."""
        needs = {number: windows.at(values) for number, windows in self.needs.items()}
        found: dict[bytes, tuple[float, Cut]] = {}
        for work in self.shared:
            stretches = _Stretches(work, needs, values)
            for one in stretches.worst():
                cut = self._cut(stretches, needs, one)
                if cut.value(values) < cut.least - LEAST_BROKEN:
                    # Days that nobody can use make the same row of several stretches.
                    found.setdefault(cut.key, (one.money, cut))
        dearest = sorted(found.values(), key=lambda pair: -pair[0])
        return [cut for _, cut in dearest[: MOST_AT_ONCE * self.years]]

    def _cut(self, stretches: _Stretches, needs: dict[int, Needs], one: _Broken) -> Cut:
        counted, weights, least, ends = stretches.row(one)
        instead: list[int] = []
        worth: list[int] = []
        for number, weight in stretches.work.weights.items():
            early = needs[number].early.get(one.first)
            paid = self.needs[number].shorts(needs[number], one.first, ends)
            own = [*paid, *([] if early is None else [early])]
            instead += own
            worth += [weight] * len(own)
        return Cut(
            np.concatenate([counted, np.array(instead, np.int64)]),
            np.concatenate([weights, np.array(worth, np.float64)]),
            least,
        )


class _Stretches:
    """One sort of shared work over all stretches of days, in one relaxed plan."""

    def __init__(self, work: SharedWork, needs: dict[int, Needs], values: Values) -> None:
        self.work = work
        size = next(iter(needs.values())).least.shape[0]
        self.needed: Counts = np.zeros((size, size), dtype=np.int64)
        self.early: Values = np.zeros(size)
        for number, weight in work.weights.items():
            self.needed += weight * needs[number].least
            for first, over in needs[number].early.items():
                self.early[first] += weight * values[over]
        self.made = values[work.made]
        self.done, self.extra = work.tasks.sums(values), work.extra.sums(values)
        self.start = np.searchsorted(work.days, np.arange(size))

    def worst(self) -> list[_Broken]:
        """The stretches that miss most money, not two that are nearly the same."""
        found = [*self._rounded(), *self._lots()]
        found.sort(key=lambda one: -one.money)
        kept: list[_Broken] = []
        for one in found:
            near = (abs(one.first - o.first) + abs(one.end - o.end) < APART for o in kept)
            if not any(near):
                kept.append(one)
            if len(kept) == MOST_FROM_ONE * -(-len(self.start) // YEAR):
                break
        return kept

    def _rounded(self) -> Iterator[_Broken]:
        """Stretches short of whole visits, or of work and visits together."""
        most = self.work.most
        if most >= NO_LIMIT:
            return
        first, end = np.nonzero(self.needed > 0)
        needed = self.needed[first, end]
        visits = -(-needed // most)
        rest = needed - (visits - 1) * most
        kept: Values = self.early[first] / rest
        alone, mixed = visits - kept, visits - kept
        order = np.argsort(rest, kind="stable")
        starts = np.flatnonzero(np.diff(rest[order], prepend=0))
        for place in np.split(order, starts[1:]) if len(order) else ():
            ready = self._ready(int(rest[place[0]])) / rest[place[0]]
            alone[place] -= self._summed(ready, first[place], end[place])
            terms = np.minimum(self.done / rest[place[0]], ready)
            mixed[place] -= self._summed(terms, first[place], end[place])
        # A row of visits alone holds for every relaxed plan, not only near this one.
        yield from self._worst(2 * alone, first, end, "visits")
        yield from self._worst(mixed, first, end, "mixed")

    def _ready(self, rest: int) -> Values:
        """What each unit is worth in a row: a unit that holds less than the rest is worth less."""
        return np.asarray(np.minimum(self.work.holds, rest) * self.made + self.extra)

    def _summed(self, terms: Values, first: Counts, end: Counts) -> Values:
        """The sum over the units of each stretch."""
        running = np.concatenate([[0.0], np.cumsum(terms)])[self.start]
        return np.asarray(running[end] - running[first])

    def _worst(self, missing: Values, first: Counts, end: Counts, way: str) -> Iterator[_Broken]:
        """For each first day the end that misses most, and for each end the first day."""
        broken = np.flatnonzero(missing > LEAST_BROKEN)
        order = broken[np.argsort(-missing[broken], kind="stable")]
        some = {int(order[n]) for days in (first, end) for n in np.unique(days[order], True)[1]}
        for n in some:
            yield _Broken(self.work.price * float(missing[n]), int(first[n]), int(end[n]), way)

    def _lots(self) -> Iterator[_Broken]:
        if not self.work.lots:
            return
        for first in range(len(self.start) - 1):
            needed = self.needed[first]
            if not needed[-1]:
                continue
            ends = _rises(needed[: first + LONGEST_LOTS])
            units = slice(self.start[first], self.start[ends[-1]] if len(ends) else 0)
            # Of what is needed by each end, what was not needed before each unit's day.
            later = needed[ends, None] - needed[self.work.days[units]]
            serves = np.clip(later, 0, self.work.holds[units])
            held = np.minimum(self.done[units], serves * self.made[units]).sum(axis=1)
            missing = 1 - (held + self.early[first]) / needed[ends]
            for n in np.flatnonzero(missing > LEAST_BROKEN).tolist():
                money = self.work.price * float(missing[n])
                yield _Broken(money, first, int(ends[n]), "lots")

    def row(self, one: _Broken) -> tuple[Counts, Values, int, list[int]]:
        """Variables and weights, right-hand side, and the ends of the needs it rests on."""
        needed, most = int(self.needed[one.first, one.end]), self.work.most
        visits = 1 if one.way == "lots" else -(-needed // most)
        rest = needed if one.way == "lots" else needed - (visits - 1) * most
        begin, end = self.start[one.first], self.start[one.end]
        serves, ends = np.minimum(rest, self.work.holds[begin:end]), {one.end}
        if one.way == "lots":
            days = self.work.days[begin:end]
            later = needed - self.needed[one.first, days]
            serves = np.minimum(later, self.work.holds[begin:end])
        ready = serves * self.made[begin:end] + self.extra[begin:end]
        by_visits = (self.done[begin:end] >= ready) | (one.way == "visits")
        if one.way == "lots":
            ends |= set(days[by_visits].tolist())
        useful = by_visits & (serves != 0)
        extra, tasks = (
            self.work.extra.within(begin, by_visits),
            self.work.tasks.within(begin, ~by_visits),
        )
        counted = np.concatenate([self.work.made[begin:end][useful], extra[0], tasks[0]])
        weights = np.concatenate([serves[useful].astype(np.float64), extra[1], tasks[1]])
        return counted, weights, visits * rest, sorted(ends)


def _rises(counts: Counts) -> Counts:
    """The places at which these counts, which never fall, have risen."""
    return np.flatnonzero(np.diff(counts, prepend=0) > 0)
