"""Which published plan is in force on which days: of those that hold a day, the newest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inspections.days_left import days_left
from inspections.models import YearPlan
from venue.models import Venue


@dataclass(frozen=True)
class InForce:
    """A published plan and a run of days on which no newer one takes its place."""

    plan: YearPlan
    first: date
    last: date

    def days_within(self, first: date, last: date) -> int:
        return max(0, (min(self.last, last) - max(self.first, first)).days + 1)


def plans_in_force(venue: Venue) -> list[InForce]:
    """The newest first. A withdrawn plan is in force no more, and what it had replaced is again."""
    rows = YearPlan.objects.filter(venue=venue, state=YearPlan.State.PUBLISHED)
    plans = list(rows.order_by("-published_at", "-pk").defer("outcome", "assumptions", "unknowns"))
    runs = days_left([(plan.first_day, plan.last_day) for plan in plans])
    return [
        InForce(plan, first, last)
        for plan, left in zip(plans, runs, strict=True)
        for first, last in left
    ]


def plan_in_force(venue: Venue, day: date) -> YearPlan | None:
    return next((each.plan for each in plans_in_force(venue) if each.days_within(day, day)), None)


def plan_replaced_by(year_plan: YearPlan) -> YearPlan | None:
    """The plan in force on most of its days, the sooner of two alike; nothing where it is itself in
    force."""
    found = plans_in_force(year_plan.venue)
    if any(each.plan == year_plan for each in found):
        return None
    days = {
        each: each.days_within(year_plan.first_day, year_plan.last_day)
        for each in sorted(found, key=lambda each: each.first)
    }
    most = max(days, key=lambda each: days[each], default=None)
    return most.plan if most and days[most] else None


def in_force_from(plans: Iterable[InForce], day: date) -> set[int]:
    """The numbers of plans that are in force on this day or on a later one."""
    return {each.plan.pk for each in plans if each.last >= day}
