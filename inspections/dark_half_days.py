"""Which half-days the season planner had better leave dark, and what rests on each. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from inspections.planning.house import House, Task
from inspections.planning.usable import usable_slots
from inspections.planning.why import window_of


@dataclass(frozen=True)
class LeaveDark:
    """A half-day, what must be so in it, the tasks that lie in it, and how well they could move.

    `elsewhere`: for the task that is worst off, how many other half-days of its own lawful window
    have what it needs; at nought the half-day cannot be given away without being late.
    """

    slot: int
    access: tuple[str, ...]
    tasks: tuple[Task, ...]
    elsewhere: int


def leave_dark(house: House, tasks: Iterable[Task]) -> list[LeaveDark]:
    """Every half-day in which some task needs something of the house, in the order of the year."""
    planned = sorted(set(tasks))
    by_slot: dict[int, list[Task]] = {}
    for task in planned:
        if house.plan_of[task.plan].access:
            for slot in range(task.slot, task.slot + house.plan_of[task.plan].duration):
                by_slot.setdefault(slot, []).append(task)
    usable = {key: usable_slots(house, house.plan_of[key]) for key in {t.plan for t in planned}}
    return [
        LeaveDark(
            slot,
            tuple(sorted({word for task in there for word in house.plan_of[task.plan].access})),
            tuple(there),
            min(_elsewhere(house, planned, task, usable[task.plan]) for task in there),
        )
        for slot, there in sorted(by_slot.items())
    ]


def _elsewhere(house: House, planned: list[Task], task: Task, usable: tuple[int, ...]) -> int:
    """Other half-days from the day the task's window opens to its last lawful day."""
    opens, _, lawful = window_of(house, planned, task)
    duration = house.plan_of[task.plan].duration
    return sum(
        2 * opens <= slot and (slot + duration - 1) // 2 <= lawful and slot != task.slot
        for slot in usable
    )
