"""Who does which task of a planned half-day. Pure.

Each task gets whole people where the ordinary hours of the half-day allow it, and two different
people where it needs two: the one who signs and a helper. Where they do not allow it, the hours are
dealt out by the largest flow (`staffing`), which always fits, and then one person may stand for two;
`short_of_people` tells which tasks those are.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from inspections.planning.house import House, Task
from inspections.planning.staffing import people_needed, staff_half_day

Crew = dict[str, int]
"""Quarter-hours by the planner's key of a person; the first of them leads."""


@dataclass(frozen=True)
class Wished:
    """By the planner's keys: whom a task is given to, and who works beside them, where they can."""

    leads: str = ""
    beside: tuple[str, ...] = ()

    def turn(self, person: str, *, leads: bool) -> int:
        """Who is asked first for the part of whoever leads, or for another; the smallest. Whoever is
        wished for beside them leads only where nobody else does."""
        if leads:
            return 0 if person == self.leads else 2 if person in self.beside else 1
        return 0 if person in (self.leads, *self.beside) else 1


Wishes = Mapping[Task, Wished]
NO_WISH = Wished()


def crews_of(house: House, tasks: Iterable[Task], wished: Wishes | None = None) -> dict[Task, Crew]:
    """The crew of every task."""
    at_work: dict[int, list[Task]] = defaultdict(list)
    crews: dict[Task, Crew] = {}
    for task in sorted(set(tasks)):
        crews[task] = {}
        for slot in range(task.slot, task.slot + house.plan_of[task.plan].duration):
            at_work[slot].append(task)
    for slot, there in at_work.items():
        if 0 <= slot < house.slots:
            half_day = _HalfDay(house, slot, wished or {})
            for task, crew in (half_day.whole_people(there) or half_day.by_hours(there)).items():
                for person, quarters in crew.items():
                    crews[task][person] = crews[task].get(person, 0) + quarters
    return crews


def short_of_people(house: House, crews: Mapping[Task, Crew]) -> list[Task]:
    """Tasks that need more people than they were given."""
    return [
        task
        for task, crew in crews.items()
        if len(crew) < sum(need.people for need in house.plan_of[task.plan].needs)
    ]


def short_words(short: Sequence[Task], of: int) -> str:
    """How many tasks are short of people, and the first of them by name."""
    plans = sorted({task.plan for task in short})
    first = f"{', '.join(plans[:3])}{', …' if len(plans) > 3 else '.'}"
    if len(short) == 1:
        return (
            f"1 of {of} tasks needs more people than are free in its half-day; one person is counted "
            f"twice there. Find somebody beside them: {first}"
        )
    return (
        f"{len(short)} of {of} tasks need more people than are free in their half-day; "
        f"one person is counted twice there. Find somebody beside them: {first}"
    )


class _HalfDay:
    """The people of one half-day."""

    def __init__(self, house: House, slot: int, wished: Wishes) -> None:
        self.house, self.slot, self.wished = house, slot, wished
        self.people = {person.key: person for person in house.people}

    def whole_people(self, tasks: list[Task]) -> dict[Task, Crew] | None:
        """One person for each need; None where the ordinary hours do not stretch so far."""
        room = {key: person.quarters[self.slot] for key, person in self.people.items()}
        crews: dict[Task, Crew] = {}
        for task in sorted(tasks, key=self._order):
            crews[task], wish = {}, self.wished.get(task, NO_WISH)
            for need in self.house.plan_of[task.plan].needs:
                for share in _shares(need.quarters, need.people):
                    able = self._able(need.competence, share, room, crews[task])
                    if not able:
                        return None
                    leads = not crews[task]
                    person = min(able, key=lambda p: (wish.turn(p, leads=leads), -room[p], p))
                    crews[task][person] = share
                    room[person] -= share
        return crews

    def _order(self, task: Task) -> tuple[bool, bool, Task]:
        """What somebody was chosen for comes first."""
        wish = self.wished.get(task, NO_WISH)
        return (not wish.beside, wish == NO_WISH, task)

    def _able(self, competence: str, share: int, room: dict[str, int], crew: Crew) -> list[str]:
        day = self.slot // 2
        return [
            key
            for key, left in room.items()
            if left >= share and key not in crew and self.people[key].may(competence, day)
        ]

    def by_hours(self, tasks: list[Task]) -> dict[Task, Crew]:
        """By the largest flow, which may split a task between people."""
        work = people_needed(self.house, tasks)
        left = Counter(staff_half_day(self.house, self.slot, work).hours)
        crews: dict[Task, Crew] = {task: {} for task in tasks}
        for task, crew in crews.items():
            for need in self.house.plan_of[task.plan].needs:
                wish = self.wished.get(task, NO_WISH)
                _serve(left, crew, need.competence, need.quarters, wish)
        return crews


def _shares(quarters: int, people: int) -> list[int]:
    """Quarter-hours for each of so many people.

    >>> _shares(5, 2), _shares(3, 1)
    ([3, 2], [3])
    """
    return [quarters // people + (number < quarters % people) for number in range(people)]


def _serve(
    left: Counter[tuple[str, str]], crew: Crew, competence: str, wanted: int, wish: Wished
) -> None:
    """Who is not in the crew yet first, of them whoever is wished for, then who has the most hours."""
    leads = not crew
    able = [person for name, person in left if name == competence and left[name, person] > 0]
    turns = {person: wish.turn(person, leads=leads) for person in able}
    for person in sorted(able, key=lambda p: (p in crew, turns[p], -left[competence, p], p)):
        given = min(wanted, left[competence, person])
        if given:
            crew[person] = crew.get(person, 0) + given
            left[competence, person] -= given
            wanted -= given
