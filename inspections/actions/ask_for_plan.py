"""Ask for a year plan. The worker searches; the page of the plan shows the best so far."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from inspections.actions.ask_for_job import Wish, ask_for_job
from inspections.models import Job, YearPlan
from inspections.queries.plan_starts import running_plans
from venue.models import Person, Venue

MOST_SECONDS, MOST_DAYS = 1200, 3 * 366


class CannotPlan(ValueError):
    """There is nothing to plan, or the days make no sense."""


@dataclass(frozen=True)
class Asked:
    """Which days, how long to search, and whether the same wish must give the same plan: then one
    worker counts steps, which finds less in the same time. `locks_of`: the number of a draft whose
    locked tasks stay where they are."""

    first_day: date
    days: int
    seconds: int = 60
    seed: int = 1
    repeatable: bool = False
    name: str = ""
    locks_of: int | None = None

    def to_dict(self) -> dict[str, Any]:
        locks = {} if self.locks_of is None else {"locks_of": self.locks_of}
        return locks | {
            "first_day": self.first_day.isoformat(), "days": self.days, "seconds": self.seconds,
            "seed": self.seed, "repeatable": self.repeatable,
        }  # fmt: skip


def ask_for_plan(*, venue: Venue, asked: Asked, by: Person, at: datetime) -> tuple[YearPlan, bool]:
    """The plan that is being made, and whether it is new. Raises CannotPlan, TooManyAsked."""
    _refuse(venue, asked, at)
    said = asked.to_dict()
    key = f"plan:{venue.pk}:" + ":".join(str(value) for value in said.values())
    wish = Wish(Job.Kind.PLAN, key, asked=said, did="ask_for_plan", said=said)
    with transaction.atomic():
        job, new = ask_for_job(venue=venue, wish=wish, by=by, at=at)
        if not new:
            return YearPlan.objects.get(job=job), False
        year_plan = YearPlan.objects.create(
            venue=venue, name=asked.name, first_day=asked.first_day, days=asked.days,
            seed=asked.seed, seconds=asked.seconds, job=job, by=by, at=at,
        )  # fmt: skip
    return year_plan, True


def ask_again(*, year_plan: YearPlan, by: Person, at: datetime) -> tuple[YearPlan, bool]:
    """The same days once more, without those that are over, and with what is locked in this plan.
    Raises CannotPlan, TooManyAsked."""
    if not year_plan.made_at:
        raise CannotPlan("This plan is not ready yet, so there is nothing to plan again.")
    tomorrow = at.astimezone(year_plan.venue.zone).date() + timedelta(days=1)
    first_day = max(year_plan.first_day, tomorrow)
    asked = Asked(
        first_day, (year_plan.last_day - first_day).days + 1, year_plan.seconds or Asked.seconds,
        year_plan.seed, name=year_plan.name, locks_of=year_plan.pk,
    )  # fmt: skip
    return ask_for_plan(venue=year_plan.venue, asked=asked, by=by, at=at)


def _refuse(venue: Venue, asked: Asked, at: datetime) -> None:
    today = at.astimezone(venue.zone).date()
    if asked.first_day <= today:
        raise CannotPlan("Begin tomorrow or later: what is due today is on the rounds already.")
    if asked.first_day > today + timedelta(days=400):
        raise CannotPlan(
            "Begin within the next 400 days: nobody knows sooner what is done by then."
        )
    if not 7 <= asked.days <= MOST_DAYS:
        raise CannotPlan("Plan at least a week and at most three years.")
    if not 1 <= asked.seconds <= MOST_SECONDS:
        raise CannotPlan(f"Search for 1 to {MOST_SECONDS} seconds.")
    if not running_plans(venue):
        raise CannotPlan("Nothing comes round here yet: apply regimes to the equipment first.")
