"""Make a plan at once, without a search and so without a proven bound."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.actions.keep_year_plan import keep_year_plan
from inspections.models import YearPlan
from inspections.queries.house_of import HouseOf, house_of
from inspections.quick_plan import quick_plan
from inspections.year_figures import Made
from venue.models import Person, Venue


def make_quick_plan(
    *, venue: Venue, first_day: date, days: int, by: Person | None, at: datetime, name: str = ""
) -> YearPlan:
    """The same house gives the same plan."""
    found = house_of(venue, first_day, days, at)
    made = quick_plan(found.house)
    return keep_as_draft(found=found, made=made, seconds=0, seed=1, by=by, at=at, name=name)


def keep_as_draft(
    *, found: HouseOf, made: Made, seconds: int, seed: int, by: Person | None, at: datetime,
    name: str = "",
) -> YearPlan:  # fmt: skip
    """A plan that no job made."""
    with transaction.atomic():
        year_plan = YearPlan.objects.create(
            venue=found.venue, name=name, first_day=found.span.first_day, days=found.span.days,
            seconds=seconds, seed=seed, by=by, at=at,
        )  # fmt: skip
        keep_year_plan(year_plan=year_plan, found=found, made=made, by=by, at=at)
    return year_plan
