"""Whose hours a half-day's work takes: a largest flow from competences to people. Pure.

Hours may be shared between the people of a competence; ordinary hours go before overtime, which
is then as small as it can be (the ordinary hours that can be used form a polymatroid, so filling
them first loses nothing).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from inspections.planning.house import House, Task


@dataclass(frozen=True)
class Staffed:
    """Quarter-hours by (competence, person), overtime among them, and what nobody is there for."""

    hours: dict[tuple[str, str], int]
    overtime: int
    missing: int


def people_needed(house: House, tasks: Iterable[Task]) -> Counter[str]:
    """Quarter-hours by competence in one half-day."""
    work: Counter[str] = Counter()
    for task in tasks:
        for need in house.plan_of[task.plan].needs:
            work[need.competence] += need.quarters
    return work


def staff_half_day(house: House, slot: int, work: Counter[str]) -> Staffed:
    """Give the work to people, ordinary hours first."""
    flow = _Flow(house, slot, work)
    flow.push({p.key: p.quarters[slot] for p in house.people})
    ordinary = flow.total
    flow.push({p.key: p.overtime[slot] for p in house.people if p.overtime})
    missing = sum(work.values()) - flow.total
    return Staffed(dict(flow.given), flow.total - ordinary, missing)


class _Flow:
    """Augmenting paths between a few competences and a few people."""

    def __init__(self, house: House, slot: int, work: Counter[str]) -> None:
        self.left = dict(work)
        self.room: Counter[str] = Counter()
        self.given: Counter[tuple[str, str]] = Counter()
        self.total = 0
        self.able = {
            name: [p.key for p in house.people if p.may(name, slot // 2)] for name in sorted(work)
        }

    def push(self, more: dict[str, int]) -> None:
        """Open so many more hours of each person and fill them."""
        self.room.update(more)
        for name in self.able:
            while self.left[name] and (path := self._path(name)):
                self._send(path)

    def _path(self, start: str) -> list[tuple[str, str]]:
        """Competence, person, competence that person serves now, ... to a person with room."""
        reached: dict[str, list[tuple[str, str]]] = {start: []}
        waiting = [start]
        while waiting:
            name = waiting.pop(0)
            for person in self.able[name]:
                path = [*reached[name], (name, person)]
                if self.room[person]:
                    return path
                for other in self.able:
                    if other not in reached and self.given[other, person]:
                        reached[other] = path
                        waiting.append(other)
        return []

    def _send(self, path: list[tuple[str, str]]) -> None:
        freed = [(path[n + 1][0], path[n][1]) for n in range(len(path) - 1)]
        amount = min(
            [self.left[path[0][0]], self.room[path[-1][1]], *(self.given[f] for f in freed)]
        )
        for step in path:
            self.given[step] += amount
        for step in freed:
            self.given[step] -= amount
        self.room[path[-1][1]] -= amount
        self.left[path[0][0]] -= amount
        self.total += amount
