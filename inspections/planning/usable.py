"""In which half-days a task can begin at all, whatever else is planned. Pure."""

from __future__ import annotations

from inspections.planning.house import House, Need, Plan, day_of


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
    words += [f"notice for {k}" for k in sorted(plan.set_ups) if day < house.set_ups[k].notice_days]
    words += [
        f"people ({need.competence})" for need in plan.needs if not _staffed(house, need, slot)
    ]
    return words


def _staffed(house: House, need: Need, slot: int) -> bool:
    """Whether enough people of the competence, with enough hours between them, are there."""
    hours = [
        person.quarters[slot] + (person.overtime[slot] if person.overtime else 0)
        for person in house.people
        if person.may(need.competence, day_of(slot))
    ]
    there = [quarters for quarters in hours if quarters > 0]
    return len(there) >= need.people and sum(there) >= need.quarters
