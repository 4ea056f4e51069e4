from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions import tasks as actions
from inspections.actions.close_task import CannotConfirm, confirm_nothing_applies
from inspections.actions.generate_tasks import generate_tasks
from inspections.forms import ChangeTaskForm
from inspections.lists.tasks import task_table
from inspections.models import Task
from inspections.queries.tasks import Stop, attempts_at, standing_of_task, task_rows
from inspections.queries.year_strip import week_rows
from inspections.views.audit_questions import questions_here
from inspections.views.day import local_day
from inspections.views.first import shown_first
from inspections.year_strip import week_asked
from venue.access import SignedInRequest, venue_page
from venue.list_order import PAST
from venue.models import Venue
from venue.table_shapes import Stretch
from venue.views.long_lists import long_list_page


@venue_page("see pages")
def task_list(request: SignedInRequest, venue: Venue) -> HttpResponse:
    wanted, day = request.GET.get("show", "90"), local_day(venue)
    monday = week_asked(request.GET.get("week", ""))

    def rows() -> Sequence[Stop] | Stretch[Stop]:
        past = request.GET.get(PAST, "")
        return week_rows(venue, day, monday) if monday else task_rows(venue, day, wanted, past)

    shown = {"venue": venue, "wanted": "" if monday else wanted, "week": monday}
    table = task_table(venue, wanted)
    return long_list_page(request, "inspections/task_list.html", table, rows, shown)


@venue_page("see pages")
def task_page(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    task = _task(request, venue, pk)
    shown = _shown(venue, task, ChangeTaskForm.of(task))
    shown |= questions_here(request, venue, task=task)
    return render(request, "inspections/task.html", shown)


@require_POST
@venue_page("plan tasks")
def generate(request: SignedInRequest, venue: Venue) -> HttpResponse:
    made = generate_tasks(venue=venue, by=request.user, at=timezone.now())
    words = "1 new task." if made == 1 else f"{made} new tasks."
    words = words if made else "Every task of the coming 15 months is there already."
    messages.success(request, words)
    return redirect("task_list", venue.slug)


@require_POST
@venue_page("plan tasks")
def change(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    task = _task(request, venue, pk)
    form = ChangeTaskForm(request.POST, venue=venue)
    try:
        if form.is_valid():
            actions.change_task(task=task, by=request.user, at=timezone.now(), **form.changes())
            return redirect("task", venue.slug, pk)
    except (actions.NeedsReason, actions.TaskNotOpen) as refusal:
        form.add_error(None, str(refusal))
    return render(request, "inspections/task.html", _shown(venue, task, form), status=422)


@require_POST
@venue_page("plan tasks")
def cancel(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    task = _task(request, venue, pk)
    try:
        actions.cancel_task(
            task=task, why=request.POST.get("why", ""), by=request.user, at=timezone.now()
        )
    except (actions.NeedsReason, actions.TaskNotOpen) as refusal:
        messages.error(request, str(refusal))
    return redirect("task", venue.slug, pk)


@require_POST
@venue_page("carry out checks")
def confirm(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    task, why = _task(request, venue, pk), request.POST.get("why", "")
    try:
        confirm_nothing_applies(task=task, why=why, by=request.user, at=timezone.now())
    except (CannotConfirm, actions.NeedsReason, actions.TaskNotOpen) as refusal:
        messages.error(request, str(refusal))
    return redirect("task", venue.slug, pk)


def _shown(venue: Venue, task: Task, form: ChangeTaskForm) -> dict[str, Any]:
    attempts = attempts_at(task)
    return {
        "venue": venue,
        "task": task,
        "standing": standing_of_task(task, local_day(venue)),
        "form": form,
        "first": shown_first(task.equipment, venue),
        "attempts": attempts,
        "confirmable": bool(attempts) and attempts[0].nothing_applied,
    }


def _task(request: SignedInRequest, venue: Venue, pk: int) -> Task:
    rows = Task.objects.visible_to(request.user).select_related(
        "plan__version", "plan__listed_day", "equipment__place", "person", "venue"
    )
    return get_object_or_404(rows.prefetch_related("helpers"), pk=pk, venue=venue)
