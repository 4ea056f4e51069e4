"""In which half-days a task can begin at all, whatever else is planned. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from inspections.planning.house import House, Need, Person, Plan, day_of


def usable_slots(house: House, plan: Plan) -> tuple[int, ...]:
    """Every half-day in which a task of this plan can begin."""
    last = house.slots - plan.duration
    return tuple(slot for slot in range(last + 1) if not hindrances(house, plan, slot))


def hindrances(house: House, plan: Plan, begin: int) -> list[str]:
    """What stands in the way of a task that begins in this half-day, in words; none: usable."""
    found: list[str] = []
    for slot in range(begin, begin + plan.duration):
        for word in _in_the_way(house, plan, slot):
            if word not in found:
                found.append(word)
    return found


def _in_the_way(house: House, plan: Plan, slot: int) -> list[str]:
    if slot >= house.slots:
        return ["the calendar ends"]
    day = day_of(slot)
    words = sorted(plan.access - house.access[slot])
    if plan.examiner and not house.examiners[plan.examiner].comes(day):
        words.append(f"examiner ({plan.examiner})")
    words += [f"notice for {k}" for k in sorted(plan.set_ups) if not house.set_ups[k].in_time(slot)]
    return [*words, *_people_missing(house, plan, slot)]


def _people_missing(house: House, plan: Plan, slot: int) -> list[str]:
    """The competences of which too few are there; whoever has two of them counts for one.

    By Hall's theorem every part of the work has its own people when any parts together have as
    many as they ask for. What is missing for one alone is not told again for it and others.
    """
    missing: list[tuple[Need, ...]] = []
    for size in range(1, len(plan.needs) + 1):
        for some in combinations(plan.needs, size):
            told = any(set(fewer) <= set(some) for fewer in missing)
            if not told and not _staffed(house, plan, some, slot):
                missing.append(some)
    return [f"people ({' and '.join(need.competence for need in some)})" for some in missing]


def _staffed(house: House, plan: Plan, needs: tuple[Need, ...], slot: int) -> bool:
    """Whether as many people are there as these parts ask for, and hours enough for each part."""
    there, day = list(_there(house, slot)), day_of(slot)
    for need in needs:
        if (
            sum(hours for hours, person in there if person.may(need.competence, day))
            < need.quarters
        ):
            return False
    least = {need: _hours_of_one(plan, need) for need in needs}
    able = [
        person
        for hours, person in there
        if any(person.may(need.competence, day) and hours >= least[need] for need in needs)
    ]
    return len(able) >= sum(need.people for need in needs)


def _hours_of_one(plan: Plan, need: Need) -> int:
    """Who works beside others is there for an even part; what one does alone may be taken over."""
    alone = sum(each.people for each in plan.needs) == 1
    return 0 if alone else need.quarters // need.people


def _there(house: House, slot: int) -> Iterator[tuple[int, Person]]:
    """Whoever has any hours in a half-day, overtime among them."""
    for person in house.people:
        hours = person.quarters[slot] + (person.overtime[slot] if person.overtime else 0)
        if hours > 0:
            yield hours, person
