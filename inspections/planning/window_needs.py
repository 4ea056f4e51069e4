"""How many tasks of a group any stretch of days must hold, proven from its intervals alone.

Windows that follow on each other add up, and what may be done before a stretch without being
early cannot have been done there for less: the rest must be done within it, or be paid as early.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from inspections.planning.groups import Group
from inspections.planning.model import Row, YearModel

Counts = NDArray[np.int64]
Values = NDArray[np.float64]
NONE = -1


@dataclass
class Needs:
    """For the days from each first day on, the tasks needed before each later day."""

    least: Counts
    """least[first, end]: tasks needed on days first .. end - 1."""
    early: dict[int, int] = field(default_factory=dict)
    """For a first day the variable that counts tasks paid as early instead."""
    origin: dict[int, int] = field(default_factory=dict)
    """For such a day the place among usable days from which its windows are counted."""


class WindowNeeds:
    """The needs of one group; `at` reads them for one relaxed plan."""

    def __init__(self, year: YearModel, group: Group) -> None:
        self.number, days = group.number, year.house.days
        usable = year.totals[group.number][0]
        self.place = np.array([bisect_left(usable, day) for day in range(days + 1)])
        self.windows: list[tuple[Row, int]] = sorted(
            ((row, short.index) for row, short in year.asked[group.number]),
            key=lambda window: window[0][1],
        )
        self._add_up(len(usable))
        self.may: dict[int, list[tuple[int, int, int]]] = defaultdict(list)
        for (low, high, allowed), over in year.allowed[group.number]:
            self.may[high].append((low, allowed, over.index))

    def _add_up(self, count: int) -> None:
        """The most tasks that windows one after the other ask for, from place to place."""
        self.needed = np.zeros((count + 1, count + 1), dtype=np.int64)
        self.last = np.full((count + 1, count + 1), NONE, dtype=np.int32)
        ends: dict[int, list[int]] = defaultdict(list)
        for number, ((_, high, _), _) in enumerate(self.windows):
            ends[high].append(number)
        for high in range(1, count + 1):
            self.needed[:, high] = self.needed[:, high - 1]
            self.last[:, high] = self.last[:, high - 1]
            for number in ends.get(high, ()):
                low, _, asked = self.windows[number][0]
                summed = self.needed[: low + 1, low] + asked
                more = np.flatnonzero(summed > self.needed[: low + 1, high])
                self.needed[more, high] = summed[more]
                self.last[more, high] = number

    def at(self, values: Values) -> Needs:
        """For each first day the count that asks most of this relaxed plan."""
        place, days = self.place, len(self.place) - 1
        found = Needs(self.needed[np.ix_(place, place)])
        for first in range(days + 1):
            found.least[first, :first] = 0
            best = float(found.least[first].sum())
            for low, allowed, over in self.may.get(int(place[first]), ()):
                rest = np.maximum(self.needed[low][place] - allowed, 0)
                rest[:first] = 0
                worth = float(np.maximum(rest - values[over], 0).sum())
                if worth > best:
                    best = worth
                    found.least[first] = rest
                    found.early[first], found.origin[first] = over, low
        return found

    def shorts(self, needs: Needs, first: int, ends: Iterable[int]) -> set[int]:
        """The variables by which the windows behind needs up to these ends may be short: late
        days."""
        start = needs.origin.get(first, int(self.place[first]))
        last, found = self.last[start], set()
        for place in {int(self.place[end]) for end in ends}:
            while place > start and (number := int(last[place])) != NONE:
                (place, _, _), short = self.windows[number]
                if short in found:
                    break
                found.add(short)
        return found
