"""Parts of a plan that may be planned anew by themselves: groups all year, some weeks, or all that
share anything on the days that have a visit or a set-up already, or in another plan, and on some
more.

Needs OR-Tools only where the model of the year does.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from random import Random
from typing import NamedTuple

from inspections.planning.house import day_of
from inspections.planning.model import Tag, YearModel
from inspections.planning.model_strength import resources_of, unit_of
from inspections.planning.program import Key

LESS, MORE = 0.5, 1.6
"""Parts are by chance so much smaller and larger than asked for."""
MOST_WHOLE, MOST_MADE, MOST_CROSSED = 900, 90, 120
CROSSINGS = 6
GROUPS_SHARE, ISLAND_SHARE = 0.6, 0.7
UNITS_SHARE, LIKELY_SHARE, WEEKS_SHARE, ONE_SORT_SHARE = 0.95, 0.5, 0.5, 0.5
OTHERS_SHARE, UNLIKELY = 0.5, 0.02


Unit = tuple[Tag, int]
"""A visit or a set-up, by its day or half-day."""
MADE, CROSSED, WHOLE = "made", "crossed", "whole"
UNITS, GROUPS, WEEKS = "units", "groups", "weeks"


class Part(NamedTuple):
    """How it was chosen, and what of it may change."""

    way: str
    free: frozenset[Key]


Way = Callable[[Mapping[Key, int]], Part]


class PartsOfAPlan:
    """What belongs together in a year, and parts of it by chance."""

    def __init__(self, year: YearModel, random: Random, *, paid: bool) -> None:
        self.random, self.paid = random, paid
        self.keys: dict[int, list[Key]] = defaultdict(list)
        self.users: dict[Tag, list[int]] = defaultdict(list)
        for key in year.begun:
            self.keys[key[0]].append(key)
        for group in year.groups:
            for tag in resources_of(group.pattern) if group.number in self.keys else ():
                self.users[tag].append(group.number)
        self.island = self._islands()
        """For each group the first of those that it shares anything with, through others too."""
        self.units = {key: self._units_of(year, key) for key in year.begun}
        """The visits and set-ups that must be made for what begins there."""
        self.day = {
            (tag, unit): unit if unit_of(year, tag, 1) == 0 else day_of(unit)
            for tag in self.users
            for unit in year.made[tag]
        }
        self.likely: Mapping[Unit, float] = {}
        """How much of each visit and set-up the relaxed year makes, where that is known."""
        self.others: list[frozenset[Unit]] = []
        """The visits and set-ups of other plans of the year."""
        self.large: list[int] = []
        self.first = self._first()

    @staticmethod
    def _units_of(year: YearModel, key: Key) -> frozenset[Unit]:
        pattern = year.groups[key[0]].pattern
        covered = range(key[1], key[1] + pattern.duration)
        tags = resources_of(pattern)
        return frozenset((tag, unit_of(year, tag, slot)) for tag in tags for slot in covered)

    def _islands(self) -> dict[int, int]:
        island = {number: number for number in self.keys}
        for users in self.users.values():
            joined = {island[number] for number in users}
            for number, first in island.items():
                island[number] = min(joined) if first in joined else first
        return island

    def _first(self) -> list[Way]:
        """Where money counts, each large island on the days that it has; small islands whole and
        each group alone."""
        alone = sorted({n for users in self.users.values() for n in users})
        self.random.shuffle(alone)
        islands = sorted({self.island[number] for number in alone})
        whole = {island: self._of_island(island) for island in islands}
        small = [island for island in islands if len(whole[island]) <= MOST_WHOLE]
        self.large = [island for island in islands if len(whole[island]) > MOST_WHOLE]
        made: list[Way] = [
            lambda counts, n=n: Part(MADE, self._where_made(n, counts, 0))  # type: ignore[misc]
            for n in self.large
        ]
        each: list[Way] = [
            lambda _, n=n: Part(WHOLE, frozenset(whole[n]))  # type: ignore[misc]
            for n in small
        ]
        groups: list[Way] = [
            lambda _, n=n: Part(GROUPS, frozenset(self.keys[n]))  # type: ignore[misc]
            for n in alone
        ]
        return [*made, *each, *groups] if self.paid else [*groups, *each]

    def cross_with(self, others: list[frozenset[Unit]]) -> None:
        """Other plans of the same year, the best first: where two plans have their visits and
        set-ups there is often a better one than both."""
        self.others = others
        ways: list[Way] = [
            lambda counts, n=n, other=other: Part(CROSSED, self._crossed(n, counts, other))  # type: ignore[misc]
            for other in others[:CROSSINGS]
            for n in self.large
        ]
        if self.paid:
            self.first[len(self.large) : len(self.large)] = ways

    def _crossed(
        self, island: int, counts: Mapping[Key, int], other: frozenset[Unit]
    ) -> frozenset[Key]:
        """An island where this plan or the other one has its visits and set-ups."""
        made = self.made_in(counts) | other
        free = [key for key in self._of_island(island) if self.units[key] <= made]
        if len(free) > MOST_CROSSED:
            first, last = self._stretch(free, MOST_CROSSED)
            free = [key for key in free if first <= key[1] <= last]
        return frozenset(free)

    def made_in(self, counts: Mapping[Key, int]) -> frozenset[Unit]:
        """The visits and set-ups of a plan."""
        return frozenset(unit for key, n in counts.items() if n for unit in self.units.get(key, ()))

    def _of_island(self, island: int) -> list[Key]:
        return [key for n in self.keys if self.island[n] == island for key in self.keys[n]]

    def chosen(self, sizes: Mapping[str, float], counts: Mapping[Key, int]) -> Part:
        """The groups and half-days that may change, of each sort about so many, in a plan of these
        counts."""
        if self.first:
            return self.first.pop(0)(counts)
        by_chance = self.random.uniform(LESS, MORE)
        if not self.users:
            return Part(WEEKS, self._some_days(sorted(self.keys), round(sizes[WEEKS] * by_chance)))
        tag = self.random.choice(sorted(self.users))
        if self.paid and self.random.random() < UNITS_SHARE:
            island = self.island[self.users[tag][0]]
            return Part(UNITS, self._where_made(island, counts, round(sizes[UNITS] * by_chance)))
        near = self._near(tag)
        if self.random.random() < GROUPS_SHARE:
            return Part(GROUPS, self._some_groups(near, round(sizes[GROUPS] * by_chance)))
        some = near if self.random.random() < ISLAND_SHARE else sorted(self.keys)
        return Part(WEEKS, self._some_days(some, round(sizes[WEEKS] * by_chance)))

    def _where_made(self, island: int, counts: Mapping[Key, int], more: int) -> frozenset[Key]:
        """All of an island where its visits and set-ups are made already, and so many half-days
        more with other ones: of some weeks on end, of one sort, or of all."""
        keys = self._of_island(island)
        made = {unit for key in keys if counts.get(key) for unit in self.units[key]}
        free = [key for key in keys if self.units[key] <= made]
        if len(free) > MOST_MADE:
            first, last = self._stretch(free, MOST_MADE)
            keys = [key for key in keys if first <= key[1] <= last]
            free = [key for key in free if first <= key[1] <= last]
        closed = sorted({unit for key in keys for unit in self.units[key]} - made)
        if not more or not closed:
            return frozenset(free)
        using: dict[Unit, list[Key]] = defaultdict(list)
        for key in keys:
            for unit in self.units[key] - made:
                using[unit].append(key)
        left = more
        for unit in self._in_some_order(closed):
            made.add(unit)
            opened = [key for key in using[unit] if self.units[key] <= made]
            free += opened
            left -= len(opened)
            if left <= 0:
                break
        return frozenset(free)

    def _stretch(self, keys: list[Key], most: int) -> tuple[int, int]:
        """The half-days between which so many of these lie."""
        slots = sorted(slot for _, slot in keys)
        first = self.random.randrange(len(slots) - most + 1)
        return slots[first], slots[first + most - 1]

    def _in_some_order(self, units: list[Unit]) -> list[Unit]:
        if self.others and self.random.random() < OTHERS_SHARE:
            other = self.random.choice(self.others)
            return sorted(self._weeks_of(units), key=lambda unit: unit not in other)
        if self.likely and self.random.random() < LIKELY_SHARE:
            return sorted(units, key=self._rather)
        if self.random.random() < WEEKS_SHARE:
            return self._weeks_of(units)
        mixed = self.random.sample(units, len(units))
        if self.random.random() < ONE_SORT_SHARE:
            tag = mixed[0][0]
            mixed.sort(key=lambda unit: unit[0] != tag)
        return mixed

    def _weeks_of(self, units: list[Unit]) -> list[Unit]:
        """By their days, from one of them on."""
        by_day = sorted(units, key=lambda unit: self.day[unit])
        first = self.random.randrange(len(by_day))
        return by_day[first:] + by_day[:first]

    def _rather(self, unit: Unit) -> float:
        """By chance, what the relaxed year makes more of sooner."""
        return -(self.likely.get(unit, 0.0) + UNLIKELY) * self.random.random() ** 0.5

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
