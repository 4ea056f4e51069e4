"""How much work people can take in a half-day, as sums over sets of competences. Pure.

By Hall's theorem the work fits when, for every set of competences, the work that asks for one of
them is no more than the hours of the people who have one of them. Sets with the same people as a
larger set say nothing more and are left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from inspections.planning.house import House, day_of

MOST_COMPETENCES = 10


@dataclass(frozen=True)
class Limit:
    """People with one of these competences: ordinary quarter-hours, and with overtime."""

    competences: frozenset[str]
    ordinary: int
    most: int


class Capacity:
    """The limits of every half-day; equal half-days share them."""

    def __init__(self, house: House) -> None:
        names = sorted({need.competence for plan in house.plans for need in plan.needs})
        if len(names) > MOST_COMPETENCES:
            raise ValueError(f"At most {MOST_COMPETENCES} competences can be planned together.")
        self._house = house
        self._sets = [
            frozenset(some) for size in range(1, len(names) + 1) for some in combinations(names, size)
        ]  # fmt: skip
        self._names = names
        self._known: dict[tuple[tuple[frozenset[str], int, int], ...], tuple[Limit, ...]] = {}
        self._by_slot = [self._of(slot) for slot in range(house.slots)]

    def limits(self, slot: int) -> tuple[Limit, ...]:
        return self._by_slot[slot]

    def _of(self, slot: int) -> tuple[Limit, ...]:
        there = tuple(
            (
                frozenset(name for name in self._names if person.may(name, day_of(slot))),
                person.quarters[slot],
                person.overtime[slot] if person.overtime else 0,
            )
            for person in self._house.people
        )
        if there not in self._known:
            self._known[there] = self._strongest(there)
        return self._known[there]

    def _strongest(self, there: tuple[tuple[frozenset[str], int, int], ...]) -> tuple[Limit, ...]:
        largest: dict[frozenset[int], frozenset[str]] = {}
        for some in self._sets:
            able = frozenset(n for n, (has, _, _) in enumerate(there) if has & some)
            largest[able] = largest.get(able, frozenset()) | some
        return tuple(
            Limit(
                some,
                sum(there[n][1] for n in able),
                sum(there[n][1] + there[n][2] for n in able),
            )
            for able, some in largest.items()
        )
