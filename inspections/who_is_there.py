"""Whether somebody of the house can be at a task of a plan, and why not. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from inspections.planning.house import House, Need, Person, Task, day_of

NOT_PLANNED = "is none of those who are planned here"
NO_CERTIFICATE = "holds no certificate here"
ELSEWHERE = "has work at another venue"
AWAY = "is away or does not work then"
NOT_COMPETENT = "is not competent for it on that day"
NO_HOURS = "has no hours left in that half-day"
NO_LEAD = "cannot come as the examiner then"


@dataclass(frozen=True)
class WhoIsThere:
    """`elsewhere`: half-days with work at another venue, by the planner's key of a person."""

    house: House
    elsewhere: Mapping[str, frozenset[int]] = field(default_factory=dict)

    @cached_property
    def _people(self) -> dict[str, Person]:
        return {person.key: person for person in self.house.people}

    def why_not(self, key: str, task: Task, parts: Sequence[Need]) -> str:
        """Why a person cannot be there, or do any of these parts of it; empty: they can. Whether they
        have hours left beside what else they do is not asked."""
        plan, person = self.house.plan_of[task.plan], self._people.get(key)
        slots = range(task.slot, task.slot + plan.duration)
        if person is None:
            return NO_CERTIFICATE
        if self.elsewhere.get(key, frozenset()) & set(slots):
            return ELSEWHERE
        if any(hours_of(person, slot) == 0 for slot in slots):
            return AWAY
        days = {day_of(slot) for slot in slots}
        able = any(all(person.may(part.competence, day) for day in days) for part in parts)
        return "" if able or not parts else NOT_COMPETENT

    def hours(self, key: str, slot: int) -> int:
        """Quarter-hours of a half-day, overtime among them."""
        person = self._people.get(key)
        return hours_of(person, slot) if person else 0


def hours_of(person: Person, slot: int) -> int:
    """Outside the plan nobody has any."""
    if not 0 <= slot < len(person.quarters):
        return 0
    return person.quarters[slot] + (person.overtime[slot] if person.overtime else 0)
