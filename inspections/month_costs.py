"""What a planned year will cost, month by month: what is really paid, not what is weighed. Pure.

The planner also weighs validity that is used up and days that are early; nobody is paid for those,
so they are not in a forecast.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from inspections.planning.house import PER_DAY, House, Task
from inspections.planning.staffing import people_needed, staff_half_day


@dataclass
class MonthCost:
    """One month. Money in the smallest coin, time in quarter-hours."""

    first: date
    tasks: int = 0
    quarters: int = 0
    work: int = 0
    examiner_days: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    examiners: int = 0
    set_up_counts: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    set_ups: int = 0
    overtime_quarters: int = 0
    overtime: int = 0

    @property
    def visit_days(self) -> int:
        return sum(self.examiner_days.values())

    @property
    def set_up_count(self) -> int:
        return sum(self.set_up_counts.values())

    @property
    def total(self) -> int:
        return self.work + self.examiners + self.set_ups + self.overtime


def month_costs(house: House, tasks: Iterable[Task]) -> list[MonthCost]:
    """Every month of the horizon in its order, empty ones too."""
    months = {first: MonthCost(first) for first in _months(house)}

    def month(slot: int) -> MonthCost:
        return months[(house.first_day + timedelta(days=slot // 2)).replace(day=1)]

    by_slot: dict[int, list[Task]] = defaultdict(list)
    for task in sorted(set(tasks)):
        plan = house.plan_of[task.plan]
        month(task.slot).tasks += 1
        month(task.slot).work += plan.price
        for slot in range(task.slot, min(task.slot + plan.duration, house.slots)):
            by_slot[slot].append(task)
    for slot, there in sorted(by_slot.items()):
        _people(house, slot, there, month(slot))
    for trade, day in sorted(_visits(house, by_slot)):
        month(2 * day).examiner_days[trade] += 1
        month(2 * day).examiners += house.examiners[trade].day_fee
    for key, slot in sorted(_set_ups(house, by_slot)):
        month(slot).set_up_counts[key] += 1
        month(slot).set_ups += house.set_ups[key].price
    return list(months.values())


def _months(house: House) -> list[date]:
    days = (house.first_day + timedelta(days=n) for n in range(house.days))
    return list(dict.fromkeys(day.replace(day=1) for day in days))


def _people(house: House, slot: int, tasks: list[Task], month: MonthCost) -> None:
    needed = people_needed(house, tasks)
    overtime = staff_half_day(house, slot, needed).overtime
    month.quarters += sum(needed.values())
    month.overtime_quarters += overtime
    month.overtime += overtime * house.overtime_price


def _visits(house: House, by_slot: dict[int, list[Task]]) -> set[tuple[str, int]]:
    return {
        (house.plan_of[task.plan].examiner, slot // 2)
        for slot, tasks in by_slot.items()
        for task in tasks
        if house.plan_of[task.plan].examiner
    }


def _set_ups(house: House, by_slot: dict[int, list[Task]]) -> set[tuple[str, int]]:
    """Each set-up that is made, with the half-day in which it begins to be needed."""
    made: dict[tuple[str, int], int] = {}
    for slot in sorted(by_slot):
        for key in {key for task in by_slot[slot] for key in house.plan_of[task.plan].set_ups}:
            when = slot // 2 if house.set_ups[key].per == PER_DAY else slot
            made.setdefault((key, when), slot)
    return {(key, slot) for (key, _), slot in made.items()}
