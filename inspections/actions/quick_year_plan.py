"""Make a plan at once, without a search and so without a proven bound."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.actions.keep_year_plan import keep_year_plan
from inspections.models import YearPlan
from inspections.queries.house_of import house_of
from inspections.quick_plan import quick_plan
from venue.models import Person, Venue


def make_quick_plan(
    *, venue: Venue, first_day: date, days: int, by: Person | None, at: datetime, name: str = ""
) -> YearPlan:
    """The same house gives the same plan."""
    found = house_of(venue, first_day, days, at)
    made = quick_plan(found.house)
    with transaction.atomic():
        year_plan = YearPlan.objects.create(
            venue=venue, name=name, first_day=first_day, days=days, seconds=0, by=by, at=at
        )
        keep_year_plan(year_plan=year_plan, found=found, made=made, by=by, at=at)
    return year_plan
