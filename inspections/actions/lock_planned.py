"""Lock a planned task where it stands, and unlock it."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.actions.year_plan_states import CannotChange, refuse_closed
from inspections.models import PlannedTask, YearPlan
from inspections.queries.locks import locks_of
from venue.actions.log import write_line
from venue.models import Person, Venue


def set_locked(*, planned: PlannedTask, locked: bool, by: Person, at: datetime) -> None:
    """A locked task stays where it is: in a plan made again from this one, and once this one is
    published in every plan that follows. Raises CannotChange."""
    with transaction.atomic():
        planned = _fresh(planned)
        plan = planned.year_plan
        if plan.state != YearPlan.State.PUBLISHED:
            refuse_closed(plan)
        elif why := locks_of(plan, at.astimezone(plan.venue.zone).date()).refusal(planned):
            raise CannotChange(why)
        if planned.locked == locked:
            return
        PlannedTask.objects.filter(pk=planned.pk).update(locked=locked)
        did = "lock_planned_task" if locked else "unlock_planned_task"
        after = {"day": planned.day, "half": planned.half}
        write_line(venue=plan.venue, by=by, at=at, did=did, subject=planned, after=after)


def _fresh(planned: PlannedTask) -> PlannedTask:
    """As it is now, while nobody else publishes or withdraws here."""
    venue = planned.year_plan.venue_id
    Venue.objects.select_for_update(no_key=True).get(pk=venue)
    related = ("year_plan__venue", "plan__version", "equipment", "task")
    return PlannedTask.objects.select_related(*related).get(pk=planned.pk)
