"""Proves from the calendar alone that a plan must run late, and says why in words. Pure.

Of one plan alone the best is always to wait as long as is lawful. If even then no half-day can be
used before the last lawful day, no planning can help: the calendar must change.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from inspections.planning.greedy import next_window
from inspections.planning.groups import Group, groups_of
from inspections.planning.house import House, Plan
from inspections.planning.usable import hindrances
from inspections.planning.wording import counted_words, day_words


@dataclass(frozen=True)
class NoDay:
    """A stretch in which a plan must be done and cannot be."""

    plan: str
    first_day: int
    last_day: int
    missing: tuple[str, ...]
    stretch: str
    late_days: int
    words: str


def calendar_proof(house: House) -> list[NoDay]:
    """Every stretch of every plan that has no usable half-day."""
    return [
        no_day
        for group in groups_of(house)
        for plan in group.members
        for no_day in _no_days(house, group, plan)
    ]


def _no_days(house: House, group: Group, plan: Plan) -> Iterator[NoDay]:
    """Walk the plan alone, each task as late as is lawful."""
    done, last = 0, None
    usable = sorted({group.done_on(slot) for slot in group.slots})
    while (window := next_window(group, plan, done, last)) and window[2] < house.days:
        first, _, lawful = window
        within = [day for day in usable if first <= day <= lawful]
        after = next((day for day in usable if day > lawful and day >= first), None)
        if not within:
            yield _no_day(house, group, plan, first, lawful, after)
        last = within[-1] if within else after
        if last is None:
            return
        done += 1


def _no_day(
    house: House, group: Group, plan: Plan, first: int, lawful: int, after: int | None
) -> NoDay:
    opens = max(0, min(first, lawful))
    slots = range(2 * opens, 2 * lawful + 2) if lawful >= 0 else range(0)
    reasons = {slot: hindrances(house, plan, slot) for slot in slots}
    counts = Counter(word for words in reasons.values() for word in words)
    missing = tuple(word for word, _ in counts.most_common(3))
    late = (house.days if after is None else after) - max(lawful, 0)
    stretch = _longest(house, [slot for slot in slots if reasons[slot]])
    if lawful < 0:
        words = (
            f"{plan.key} is overdue: it was to be done by {day_words(house, lawful)}, before the"
            " first day that is planned here. "
        )
    else:
        words = (
            f"{plan.key} must be done between {day_words(house, opens)} and"
            f" {day_words(house, lawful)}, and no half-day of that can be used. Missing:"
            f" {', '.join(missing) or 'any half-day'}.{stretch} "
        )
    if after is None:
        words += "There is no usable half-day after it either, to the end of the calendar."
    elif lawful < 0:
        words += f"The first usable day is {day_words(house, after)}."
    else:
        words += (
            f"The first usable day is {day_words(house, after)}: {counted_words(late, 'day')} late."
        )
    return NoDay(plan.key, opens, lawful, missing, stretch.strip(), late, words)


def _longest(house: House, slots: list[int]) -> str:
    """The booking that holds the most of them in a row."""
    runs = [
        (len(list(run)), name)
        for name, run in groupby(house.bookings.get(slot, "") for slot in slots)
        if name
    ]
    if not runs:
        return ""
    length, name = max(runs)
    return f" Longest in the way: {name} ({counted_words(length, 'half-day')})."
