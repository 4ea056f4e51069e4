from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions.move_planned import (
    MoveRefused,
    TaskLocked,
    move_planned,
    set_locked,
    undo_last_move,
)
from inspections.actions.year_plan_states import CannotChange
from inspections.forms_year import MoveForm
from inspections.models import PlannedTask
from inspections.queries.why_planned import why_planned
from inspections.queries.year_plans import plans_of
from venue.access import SignedInRequest, venue_page
from venue.models import Venue

REFUSALS = (CannotChange, MoveRefused, TaskLocked)


@venue_page("see pages")
def planned_task(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """Why it is here, what a week more or less would change, and how to move it."""
    planned = _planned(request, venue, pk)
    return render(
        request, "inspections/planned_task.html", _shown(venue, planned, MoveForm.of(planned))
    )


@require_POST
@venue_page("plan tasks")
def move(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    planned, form = _planned(request, venue, pk), MoveForm(request.POST)
    try:
        if form.is_valid():
            move_planned(planned=planned, by=request.user, at=timezone.now(), **form.cleaned_data)
            return redirect("planned_task", venue.slug, pk)
    except REFUSALS as refusal:
        form.add_error(None, str(refusal))
    return render(
        request, "inspections/planned_task.html", _shown(venue, planned, form), status=422
    )


@require_POST
@venue_page("plan tasks")
def lock(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    planned, locked = _planned(request, venue, pk), request.POST.get("locked") == "yes"
    try:
        set_locked(planned=planned, locked=locked, by=request.user, at=timezone.now())
    except REFUSALS as refusal:
        messages.error(request, str(refusal))
    return redirect("planned_task", venue.slug, pk)


@require_POST
@venue_page("plan tasks")
def undo(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan = get_object_or_404(plans_of(venue, request.user), pk=pk)
    try:
        back = undo_last_move(year_plan=plan, by=request.user, at=timezone.now())
        messages.success(request, "Moved back." if back else "There is no move to take back.")
    except REFUSALS as refusal:
        messages.error(request, str(refusal))
    return redirect("year_plan", venue.slug, pk)


def _shown(venue: Venue, planned: PlannedTask, form: MoveForm) -> dict[str, Any]:
    return {
        "venue": venue, "planned": planned, "plan": planned.year_plan, "form": form,
        "why": why_planned(planned, timezone.now()),
    }  # fmt: skip


def _planned(request: SignedInRequest, venue: Venue, pk: int) -> PlannedTask:
    rows = PlannedTask.objects.visible_to(request.user).in_venue(venue)
    related = ("year_plan__venue", "plan__version", "equipment__place", "task")
    return get_object_or_404(rows.select_related(*related).prefetch_related("crew__person"), pk=pk)
