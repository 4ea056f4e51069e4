"""What is late already when a plan begins. Pure.

The planner counts late days from the first day of its plan, because no plan can change those before;
whoever reads the plan must see both.
"""

from __future__ import annotations

from inspections.planning.house import House, Plan


def late_already(house: House) -> dict[str, int]:
    """Days from the last lawful day of each overdue task to the first day, and how many those are.

    >>> from datetime import date
    >>> from inspections.calendar_rules import Interval
    >>> month = Interval(months=1)
    >>> plans = (Plan("W1", "", month, first_lawful=-22), Plan("W2", "", month, first_lawful=3))
    >>> late_already(House(date(2027, 3, 1), (), plans))
    {'days': 22, 'tasks': 1}
    """
    days = [-lawful for plan in house.plans for lawful in _lawful_days(plan) if lawful < 0]
    return {"days": sum(days), "tasks": len(days)}


def _lawful_days(plan: Plan) -> list[int]:
    return [due.last_lawful for due in plan.due_days] if plan.due_days else [plan.first_lawful]
