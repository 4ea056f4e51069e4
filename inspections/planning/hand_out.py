"""Which member of a group takes which of its tasks. Needs OR-Tools only to keep agreed pairs.

First due, first done is exact for interchangeable members. It would swap members for nothing
against an agreed plan, so where there is one a small model keeps as many (plan, half-day) pairs
as it can with no more days late or early.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from heapq import heapify, heappop, heappush, heapreplace

from inspections.planning.greedy import next_window
from inspections.planning.groups import Group
from inspections.planning.house import House, Task

Counts = Mapping[tuple[int, int], int]
"""How many of a group (by its number) begin in a half-day."""


def hand_out(house: House, groups: Iterable[Group], counts: Counts) -> list[Task]:
    """The tasks of the plan, member by member."""
    tasks: list[Task] = []
    for group in groups:
        begins = [slot for slot in group.slots for _ in range(counts.get((group.number, slot), 0))]
        keys = {plan.key for plan in group.members}
        wanted = {task for task in house.agreed | house.locked if task.plan in keys}
        given = first_due_first(group, begins)
        if wanted and group.size > 1 and not wanted & set(begins_of(begins, keys)) <= set(given):
            from inspections.planning.keep_pairs import keep_pairs

            given = keep_pairs(house, group, begins, given)
        tasks += given
    return sorted(tasks)


def begins_of(begins: list[int], keys: set[str]) -> Iterable[Task]:
    """Every pair there could be."""
    return (Task(key, slot) for key in keys for slot in set(begins))


def first_due_first(group: Group, begins: list[int]) -> list[Task]:
    """Each task to the member whose last lawful day comes first, and never two on one day."""
    done: list[list[int]] = [[] for _ in group.members]
    waiting = [_urgency(group, member, []) for member in range(group.size)]
    heapify(waiting)
    tasks = []
    for slot in begins:
        busy = []
        while not _free(group, done[waiting[0][1]], slot):
            busy.append(heappop(waiting))
        member = waiting[0][1]
        done[member].append(slot)
        heapreplace(waiting, _urgency(group, member, done[member]))
        for passed_over in busy:
            heappush(waiting, passed_over)
        tasks.append(Task(group.members[member].key, slot))
    return tasks


def _free(group: Group, done: list[int], slot: int) -> bool:
    return not done or group.done_on(done[-1]) < group.done_on(slot)


def _urgency(group: Group, member: int, done: list[int]) -> tuple[int, int]:
    last = group.done_on(done[-1]) if done else None
    window = next_window(group, group.members[member], len(done), last)
    return (window[2] if window else 10**9, member)
