"""Parts of a plan that may be planned anew by themselves: groups all year, or some weeks.

Needs OR-Tools only where the model of the year does.
"""

from __future__ import annotations

from collections import defaultdict
from random import Random

from inspections.planning.house import day_of
from inspections.planning.model import Tag, YearModel
from inspections.planning.model_strength import resources_of
from inspections.planning.program import Key

LESS, MORE = 0.5, 1.6
"""Parts are by chance so much smaller and larger than asked for."""
MOST_WHOLE = 900
GROUPS_SHARE, ISLAND_SHARE = 0.6, 0.7


class PartsOfAPlan:
    """What belongs together in a year, and parts of it by chance."""

    def __init__(self, year: YearModel, random: Random) -> None:
        self.random = random
        self.keys: dict[int, list[Key]] = defaultdict(list)
        self.users: dict[Tag, list[int]] = defaultdict(list)
        for key in year.begun:
            self.keys[key[0]].append(key)
        for group in year.groups:
            for tag in resources_of(group.pattern) if group.number in self.keys else ():
                self.users[tag].append(group.number)
        self.island = self._islands()
        """For each group the first of those that it shares anything with, through others too."""
        self.first = self._first()

    def _islands(self) -> dict[int, int]:
        island = {number: number for number in self.keys}
        for users in self.users.values():
            joined = {island[number] for number in users}
            for number, first in island.items():
                island[number] = min(joined) if first in joined else first
        return island

    def _first(self) -> list[frozenset[Key]]:
        """Each group alone, taken from the end; before them small islands, whole."""
        alone = sorted({n for users in self.users.values() for n in users})
        self.random.shuffle(alone)
        islands = {self.island[number] for number in alone}
        whole = [
            frozenset(key for n in alone if self.island[n] == island for key in self.keys[n])
            for island in sorted(islands)
        ]
        small = [keys for keys in whole if len(keys) <= MOST_WHOLE]
        return [*small, *(frozenset(self.keys[number]) for number in alone)]

    def chosen(self, size: float) -> frozenset[Key]:
        """The groups and half-days that may change, about so many; first each group alone,
        then what shares nothing with the rest."""
        if self.first:
            return self.first.pop()
        about = round(size * self.random.uniform(LESS, MORE))
        if not self.users:
            return self._some_days(sorted(self.keys), about)
        near = self._near(self.random.choice(sorted(self.users)))
        if self.random.random() < GROUPS_SHARE:
            return self._some_groups(near, about)
        together = self.random.random() < ISLAND_SHARE
        return self._some_days(near if together else sorted(self.keys), about)

    def _near(self, tag: Tag) -> list[int]:
        """Groups that use a resource, and those that share another one with them."""
        own = set(self.users[tag])
        return sorted({n for users in self.users.values() if own & set(users) for n in users})

    def _some_groups(self, near: list[int], size: int) -> frozenset[Key]:
        """One of these groups all year, or two; more where groups are small."""
        mean = sum(len(self.keys[number]) for number in near) / len(near)
        count = max(self.random.choice((1, 2, 2)), round(size / mean / 2))
        chosen = self.random.sample(near, min(count, len(near)))
        return frozenset(key for number in chosen for key in self.keys[number])

    def _some_days(self, groups: list[int], size: int) -> frozenset[Key]:
        """Those of these groups that lie in a stretch of days."""
        keys = sorted((key for n in groups for key in self.keys[n]), key=lambda key: key[1])
        count = min(len(keys), size)
        if not count:
            return frozenset()
        # A stretch may begin before the first day: the ends of the year are as often free.
        first = self.random.randrange(-count // 2, max(1, len(keys) - count // 2))
        last = day_of(keys[min(len(keys), first + count) - 1][1])
        start = day_of(keys[max(0, first)][1])
        return frozenset(key for key in keys if start <= day_of(key[1]) <= last)
