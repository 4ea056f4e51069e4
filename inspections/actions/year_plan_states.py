"""The life of a year plan beside its publishing: proposed, withdrawn, copied."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from inspections.models import PlannedMove, PlannedPerson, PlannedTask, YearPlan
from venue.actions.log import write_line
from venue.models import Person, Venue

BATCH = 500


class CannotChange(ValueError):
    """The plan is published, withdrawn or not ready."""


def propose_year_plan(*, year_plan: YearPlan, by: Person, at: datetime) -> None:
    """Say that it is ready to be looked at. Raises CannotChange."""
    with transaction.atomic():
        refuse_closed(year_plan)
        _state(year_plan, {"state": YearPlan.State.PROPOSED}, "propose_year_plan", by, at)


def withdraw_year_plan(*, year_plan: YearPlan, why: str, by: Person, at: datetime) -> None:
    """It stays readable. The days that a published one gave to tasks stay theirs until another
    plan is published or a person changes them; they are promised no more. Raises CannotChange."""
    if not why.strip():
        raise CannotChange("Say why the plan is withdrawn; its page keeps the reason.")
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=year_plan.venue_id)
        year_plan.refresh_from_db()
        if year_plan.state == YearPlan.State.WITHDRAWN:
            raise CannotChange("This plan is withdrawn already.")
        fields = {"state": YearPlan.State.WITHDRAWN, "withdrawn_why": why.strip()}
        _state(year_plan, fields, "withdraw_year_plan", by, at)


def copy_year_plan(*, year_plan: YearPlan, name: str, by: Person, at: datetime) -> YearPlan:
    """A draft with the same tasks and moves, to try something on. Raises CannotChange."""
    if not year_plan.made_at:
        raise CannotChange("This plan is not ready yet, so there is nothing to copy.")
    kept = ("venue_id", "first_day", "days", "seed", "seconds", "made_at", "outcome",
            "inputs_sha256", "assumptions", "unknowns")  # fmt: skip
    with transaction.atomic():
        same = {field: getattr(year_plan, field) for field in kept}
        # What was said when it was published was said of it alone.
        same["outcome"] = same["outcome"] | {"published_although": "", "not_kept": []}
        copy = YearPlan.objects.create(name=name.strip(), copy_of=year_plan, by=by, at=at, **same)
        _copy_tasks(year_plan, copy)
        after = {"copy_of": str(year_plan.pk)}
        write_line(venue=copy.venue, by=by, at=at, did="copy_year_plan", subject=copy, after=after)
    return copy


def _copy_tasks(original: YearPlan, copy: YearPlan) -> None:
    rows = {row.pk: row for row in original.planned.order_by("pk")}
    parts = list(PlannedPerson.objects.filter(planned__year_plan=original).order_by("pk"))
    for row in rows.values():
        row.pk, row.year_plan = None, copy
    PlannedTask.objects.bulk_create(rows.values(), batch_size=BATCH)
    for part in parts:
        part.pk, part.planned = None, rows[part.planned_id]
    PlannedPerson.objects.bulk_create(parts, batch_size=BATCH)
    _copy_moves(original, copy, rows)


def _copy_moves(original: YearPlan, copy: YearPlan, rows: Mapping[int, PlannedTask]) -> None:
    """Who moved what stays known, and can be taken back in the copy too."""
    moves = list(original.moves.order_by("pk"))
    for move in moves:
        move.pk, move.year_plan, move.planned = None, copy, rows[move.planned_id]
    PlannedMove.objects.bulk_create(moves, batch_size=BATCH)


def refuse_closed(year_plan: YearPlan) -> None:
    """Inside the caller's transaction. Raises CannotChange."""
    Venue.objects.select_for_update(no_key=True).get(
        pk=year_plan.venue_id
    )  # two at once: one waits
    year_plan.refresh_from_db()
    if not year_plan.may_change:
        state = year_plan.get_state_display().lower() if year_plan.made_at else "not ready"
        raise CannotChange(
            f"This plan is {state} and cannot be changed. Copy it, and change the copy."
        )


def _state(year_plan: YearPlan, fields: dict[str, Any], did: str, by: Person, at: datetime) -> None:
    before = {"state": year_plan.state}
    YearPlan.objects.filter(pk=year_plan.pk).update(**fields)
    year_plan.refresh_from_db()
    write_line(
        venue=year_plan.venue, by=by, at=at, did=did, subject=year_plan, before=before, after=fields
    )
