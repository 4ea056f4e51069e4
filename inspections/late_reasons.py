"""Why a task is published after its last lawful day, in a sentence that stands on the task. Pure.

The sentence claims no more than is known: that the house leaves no half-day only where none can be
used, that nothing sooner exists only where that was proven, and else that it was not.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from inspections.planning.house import House
from inspections.planning.outcome import LATE
from inspections.planning.usable import hindrances
from inspections.planning.wording import counted_words, day_words
from inspections.year_dates import Dated


def why_late(
    house: House,
    dated: Dated,
    after_day: int,
    said: str,
    outcome: Mapping[str, Any],
    moved_on: date | None,
) -> str:
    """`after_day`: the day on which the task before it in its chain is done, -1 where it is the first.
    `said`: the year plan in words. `moved_on`: when a person moved it and said that late is meant.

    >>> house = House(date(2027, 3, 1), (), ())
    >>> from inspections.planning.house import Task
    >>> why_late(house, Dated(Task("W1", 20), 0, 3, 5, 5), -1, "Spring", {}, date(2027, 2, 1))
    'Moved by hand on 1 February 2027 in Spring, where it was said that late is meant: 5 days late.'
    """
    days, lawful = counted_words(dated.late, "day"), day_words(house, dated.last_lawful)
    if moved_on is not None:
        day = f"{moved_on:%-d %B %Y}"
        return (
            f"Moved by hand on {day} in {said}, where it was said that late is meant: {days} late."
        )
    if dated.last_lawful < 0:
        return f"Its last lawful day, {lawful}, lies before the first day of {said}."
    if not _can_be_used(house, dated, after_day):
        return f"{said}: until its last lawful day, {lawful}, there is no half-day in which it can be done."
    return f"{days} late as planned in {said}. {_proven(outcome)}"


def _can_be_used(house: House, dated: Dated, after_day: int) -> bool:
    """Whether any half-day between the task before it and its last lawful day can be used for it."""
    plan = house.plan_of[dated.task.plan]
    first = 2 * (after_day + 1)
    last = min(2 * dated.last_lawful + 1, house.slots - 1) - plan.duration + 1
    return any(not hindrances(house, plan, slot) for slot in range(first, last + 1))


def _proven(outcome: Mapping[str, Any]) -> str:
    if outcome.get("how") != "searched":
        return "The plan was made without a search: whether it must be late is not known."
    stage = next((each for each in outcome.get("stages", ()) if each["aim"] == LATE), None)
    now = outcome.get("figures", {}).get("late_days")
    if stage is not None and stage["value"] <= stage["bound"] and now == stage["value"]:
        return "No plan has fewer days late in all, which is proven; in another one other tasks may be late."
    return "The plan was searched for; that it must be late is not proven."
