"""`python -m inspections.planning.annealing`: compile the search, so that no plan waits for it."""

from __future__ import annotations

from datetime import date

from inspections.calendar_rules import Interval
from inspections.planning.annealing.search import LocalSearch
from inspections.planning.capacity import Capacity
from inspections.planning.groups import groups_of
from inspections.planning.house import House, Plan, Task

if __name__ == "__main__":
    week = Plan("a lift", "lift", Interval(days=2))
    house = House(date(2027, 1, 4), (frozenset(),) * 14, (week,))
    begun = [Task(week.key, slot) for slot in (0, 4, 8, 12)]
    LocalSearch(house, groups_of(house), Capacity(house), begun, seed=1).run(1)
