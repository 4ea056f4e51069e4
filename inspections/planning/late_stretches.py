"""The stretches of days in which something was to be done and was not, and what could be changed
in them. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from inspections.planning.calendar_proof import NoDay
from inspections.planning.house import House, Plan, Task, day_of
from inspections.planning.usable import hindrances
from inspections.planning.why import window_of


@dataclass(frozen=True)
class Stretch:
    """Days, the last one too, in which a task of the plan had to be done."""

    plan: str
    first_day: int
    last_day: int


def late_stretches(
    house: House, no_days: Iterable[NoDay], late: Mapping[str, int], tasks: Sequence[Task]
) -> list[Stretch]:
    """Where the calendar alone has no day, the latest first; then the windows that a plan of these
    tasks misses, of plans that the calendar alone would let be on time."""
    proven = sorted(no_days, key=lambda no_day: -no_day.late_days)
    found = [Stretch(each.plan, each.first_day, each.last_day) for each in proven]
    told = {each.plan for each in proven}
    for key in sorted(set(late) - told, key=lambda key: (-late[key], key)):
        found += _missed(house, house.plan_of[key], [t for t in tasks if t.plan == key])
    return [each for each in found if each.last_day >= 0]


def _missed(house: House, plan: Plan, own: Sequence[Task]) -> Iterator[Stretch]:
    """Windows of one plan whose task comes after them, or not at all."""
    all_of_them = plan.due_days and len(own) >= len(plan.due_days)
    never = [] if all_of_them else [Task(plan.key, house.slots)]
    for task in (*sorted(own), *never):
        opens, _, lawful = window_of(house, [*own, *never], task)
        done = day_of(task.slot + plan.duration - 1)
        if lawful < min(done, house.days):
            yield Stretch(plan.key, max(0, opens), lawful)


def _days(house: House, stretch: Stretch) -> range:
    return range(max(0, stretch.first_day), min(house.days, stretch.last_day + 1))


def blocked_half_days(house: House, stretch: Stretch) -> list[int]:
    """Those of the stretch that need nothing but to be dark for the task to be done in them."""
    plan = house.plan_of[stretch.plan]
    slots = [slot for day in _days(house, stretch) for slot in (2 * day, 2 * day + 1)]
    return [
        slot for slot in slots if plan.access - house.access[slot] and _frees(house, plan, slot)
    ]


def _frees(house: House, plan: Plan, slot: int) -> bool:
    """Whether a task that takes in this half-day lacks only that it is dark."""
    half = replace(plan, duration=1)
    dark = replace(half, access=frozenset())
    begins = range(max(0, slot - plan.duration + 1), slot + 1)
    return any(
        not any(
            hindrances(house, dark if at == slot else half, at)
            for at in range(begin, begin + plan.duration)
        )
        for begin in begins
    )


def days_without_examiner(house: House, stretch: Stretch) -> list[int]:
    """Days of the stretch that need nothing but a visit for the task to be begun on them."""
    plan = house.plan_of[stretch.plan]
    if not plan.examiner:
        return []
    alone, examiner = replace(plan, examiner=""), house.examiners[plan.examiner]
    return [
        day
        for day in _days(house, stretch)
        if not examiner.comes(day)
        and not all(hindrances(house, alone, slot) for slot in (2 * day, 2 * day + 1))
    ]
