"""One plan's tasks through the year, one after the other: late, early and tight days. Pure."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta

from inspections.calendar_rules import add_interval
from inspections.planning.house import House, Plan, Task


@dataclass
class Chain:
    """What came of one plan."""

    plan: str
    late: int = 0
    early: int = 0
    tight: int = 0
    used: int = 0
    faults: list[str] = field(default_factory=list)


def walk(house: House, plan: Plan, planned: list[Task]) -> Chain:
    """Walk a plan's own tasks in their order."""
    done = [task.slot + plan.duration - 1 for task in planned if task.plan == plan.key]
    days = [slot // 2 for slot in done]
    chain = Chain(plan.key)
    if len(set(days)) < len(days):
        chain.faults.append(f"{plan.key}: done twice on one day")
    if plan.due_days:
        _walk_anchored(house, plan, days, chain)
    else:
        _walk_floating(house, plan, days, chain)
    return chain


def _walk_floating(house: House, plan: Plan, days: list[int], chain: Chain) -> None:
    due, lawful = plan.first_due, plan.first_lawful
    for day in days:
        chain.early += max(0, due - plan.early_days - day)
        _passed(chain, house, lawful, day)
        due, lawful = next_due(house, plan, day)
    _passed(chain, house, lawful, house.days)
    chain.used = _used_at_the_end(house, plan, lawful)


def next_due(house: House, plan: Plan, day: int) -> tuple[int, int]:
    """The due day and the last lawful day after a task done on this day."""
    due = add_interval(house.first_day + timedelta(days=day), plan.interval)
    lawful = add_interval(due, plan.slack)
    return (due - house.first_day).days, (lawful - house.first_day).days


def _passed(chain: Chain, house: House, lawful: int, day: int) -> None:
    """Count the days from one task's last lawful day to the day it is done (or the end)."""
    chain.late += max(0, day - max(lawful, 0))
    first_tight = max(lawful - house.margin_days, 0)
    chain.tight += max(0, min(day, lawful) - first_tight)


def _used_at_the_end(house: House, plan: Plan, lawful: int) -> int:
    """Money: the days of validity used up, against a task done on the last day of all."""
    fullest = next_due(house, plan, house.days - 1)[1]
    rate = plan.price // max(1, next_due(house, plan, 0)[1])
    return rate * max(0, fullest - max(lawful, house.days))


def _walk_anchored(house: House, plan: Plan, days: list[int], chain: Chain) -> None:
    """The n-th task is the n-th due day's; before its window opens it does not count for it."""
    for number, due in enumerate(plan.due_days):
        if number >= len(days):
            _passed(chain, house, due.last_lawful, house.days)
            continue
        if days[number] < due.opens:
            chain.faults.append(f"{plan.key}: day {days[number]} is before day {due.opens} opens")
        chain.early += max(0, due.due - plan.early_days - days[number])
        _passed(chain, house, due.last_lawful, days[number])
    if len(days) > len(plan.due_days):
        chain.faults.append(f"{plan.key}: more tasks than due days")
