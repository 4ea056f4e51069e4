"""Learned hours may make a check longer than its estimate. Where that leaves it no half-day, it is
said: no figure of the book puts an inspection out of reach silently."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from inspections.planning.house import House, Plan
from inspections.planning.usable import hindrances
from inspections.queries.work_of_plans import Needed, plainly
from inspections.work_shapes import Work


def put_out_of_reach(house: House, needed: Mapping[str, Needed]) -> Iterator[str]:
    """One sentence for each plan whose first task no half-day holds by its last lawful day with the
    hours on record, where one holds it with the estimate."""
    for key, each in needed.items():
        if not each.logged or not _longer(each.work, each.estimate):
            continue
        plan = house.plan_of[key]
        short = replace(plan, duration=each.estimate.half_days, needs=each.as_estimated.needs)
        if _can_begin(house, plan) or not _can_begin(house, short):
            continue
        work, estimate = each.work, each.estimate
        yield (
            f"Hours on record put {key} out of reach: median {plainly(work.house_hours)} h of "
            f"{each.logged.count} records in {work.half_days} half-days, estimate "
            f"{plainly(estimate.house_hours)} h in {estimate.half_days}. By its last lawful day no "
            "half-day holds it; with the estimate one does. Look at the hours, or go back to the "
            "estimate under What the planner is told."
        )


def _longer(work: Work, estimate: Work) -> bool:
    return (work.half_days, work.house_hours) > (estimate.half_days, estimate.house_hours)


def _can_begin(house: House, plan: Plan) -> bool:
    """By the last lawful day of its first task; where that is past, at all."""
    lawful = plan.due_days[0].last_lawful if plan.due_days else plan.first_lawful
    last = house.slots - plan.duration
    if lawful >= 0:
        last = min(last, 2 * lawful + 1)
    return any(not hindrances(house, plan, slot) for slot in range(last + 1))
