from __future__ import annotations

from inspections.models import Plan
from inspections.task_dates import PlanDates


def dates_of(plan: Plan) -> PlanDates:
    """What the dates of a plan's tasks depend on."""
    return PlanDates(
        plan.interval, plan.counting, plan.anchor, plan.last_done_on, plan.last_done_number,
        plan.lawful_slack, plan.planned_before, plan.next_no_later_than,
    )  # fmt: skip
