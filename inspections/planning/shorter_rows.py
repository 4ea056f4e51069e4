"""Rows written with running totals: what is weighed alike on days that follow on each other is the
difference of two totals, however many days they are. Needs numpy.

A row of a hundred weights makes a linear program slow, and most rows have few different ones.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from inspections.planning.model import Running
from inspections.planning.window_needs import Counts, Values

NONE = -1
MOST = 2
"""Weights of one run of days, when it is written with totals."""


class ShorterRows:
    """Writes rows of one model, whose running totals it knows."""

    def __init__(self, running: Iterable[Running], variables: int) -> None:
        # Every total has a place, and those of one running sum are next to each other.
        self.place = np.full(variables, NONE)
        totals: list[int] = []
        members: list[int] = []
        for one in running:
            totals.append(NONE)
            members.append(0)
            for total, parts in zip(one.totals, one.parts, strict=True):
                self.place[list(parts)] = len(totals)
                totals.append(total)
                members.append(len(parts))
        self.totals, self.members = np.array(totals), np.array(members)

    def written(self, numbers: Counts, weights: Values) -> tuple[Counts, Values]:
        """The same sum for all values whose totals are right."""
        place = self.place[numbers]
        order = np.argsort(place, kind="stable")
        order = order[np.searchsorted(place[order], 0) :]
        if len(order) <= MOST:
            return numbers, weights
        run, first, last = self._runs(place[order], weights[order])
        from_start = self.totals[first - 1] == NONE
        shorter = np.bincount(run) > MOST - from_start
        replaced = np.zeros(len(numbers), dtype=bool)
        replaced[order] = shorter[run]
        weighed = np.zeros(len(first))
        weighed[run] = weights[order]
        ends, starts = last[shorter], (first - 1)[shorter & ~from_start]
        ended, started = weighed[shorter], weighed[shorter & ~from_start]
        return _added_up(
            np.concatenate([numbers[~replaced], self.totals[ends], self.totals[starts]]),
            np.concatenate([weights[~replaced], ended, -started]),
        )

    def _runs(self, place: Counts, weights: Values) -> tuple[Counts, Counts, Counts]:
        """For each weight the run it belongs to, and the first and last place of each run. A place
        some of whose parts are not there, or not alike, is no run: it is cut into its parts."""
        starts = np.flatnonzero(np.diff(place, prepend=NONE))
        count = np.diff(starts, append=len(place))
        alike = np.maximum.reduceat(weights, starts) == np.minimum.reduceat(weights, starts)
        whole = alike & (count == self.members[place[starts]])
        goes_on = np.zeros(len(place), dtype=bool)
        goes_on[1:] = np.repeat(whole, count)[1:]
        # Into the next place it goes on only from a whole one next to it, with the same weight.
        later = starts[1:]
        goes_on[later] &= (
            whole[:-1]
            & (place[later] == place[later - 1] + 1)
            & (weights[later] == weights[later - 1])
        )
        run = np.cumsum(~goes_on) - 1
        first = place[np.flatnonzero(~goes_on)]
        last = place[np.append(np.flatnonzero(~goes_on)[1:], len(place)) - 1]
        return run, first, last


def _added_up(numbers: Counts, weights: Values) -> tuple[Counts, Values]:
    """Each number once: where one run ends another may begin."""
    once, place = np.unique(numbers, return_inverse=True)
    summed = np.bincount(place, weights, len(once))
    return once[summed != 0], summed[summed != 0]
