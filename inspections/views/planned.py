from __future__ import annotations

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from inspections.actions.lock_planned import set_locked
from inspections.actions.move_planned import (
    MoveRefused,
    TaskLocked,
    move_planned,
    undo_last_move,
)
from inspections.actions.year_plan_states import CannotChange
from inspections.board_grid import HALVES
from inspections.models import PlannedTask
from inspections.move_check import MoveChecked, refused
from inspections.queries.locks import locks_of
from inspections.queries.why_here import move_checked, why_of
from inspections.queries.year_board import mark_of, planned_tasks
from inspections.queries.year_plans import plans_of
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.roles import may

REFUSALS = (CannotChange, MoveRefused, TaskLocked)
LOCKED = "It is locked here. Unlock it first."
ENDED = "The plan of this check has ended since. Plan the year again."
NO_HALF_DAY = "Give a day and a half of it."
HalfDay = tuple[date, str]


@venue_page("see pages")
def planned_task(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """Why a task is where it is; with a day asked for, what that would do."""
    planned = _planned(request, venue, pk)
    shown = _shown(request, venue, planned, _half_day(request.GET))
    return render(request, "inspections/planned_task.html", shown)


@venue_page("see pages")
def check(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """For the board's script: the same words, before anything is moved."""
    planned, asked = _planned(request, venue, pk), _half_day(request.GET)
    checked = _checked(planned, asked) if asked else refused(NO_HALF_DAY)
    words = checked.told(may(request.role, "see money"))
    told = {"late": checked.late > 0, "over": bool(checked.over), "refused": bool(checked.faults)}
    return JsonResponse({"words": words, "worse": checked.worse, **told})


@require_POST
@venue_page("plan tasks")
def move(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """What would make something late or exceed a budget shows its words first, and is done when that
    is meant."""
    planned, asked = _planned(request, venue, pk), _half_day(request.POST)
    try:
        if asked is None:
            raise MoveRefused([NO_HALF_DAY])
        moved = move_planned(
            planned=planned, day=asked[0], half=asked[1], by=request.user, at=timezone.now(),
            late_is_meant=_is_meant(request, "late"),
            over_budget_is_meant=_is_meant(request, "over_budget"),
        )  # fmt: skip
    except REFUSALS as refusal:
        shown = _shown(request, venue, planned, asked) | {"refusal": str(refusal)}
        return render(request, "inspections/planned_task.html", shown, status=422)
    messages.success(request, _moved_words(planned, asked) if moved else "It is there already.")
    return _back(request, reverse("planned_task", args=[venue.slug, pk]))


@require_POST
@venue_page("plan tasks")
def lock(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    planned, locked = _planned(request, venue, pk), request.POST.get("locked") == "yes"
    try:
        set_locked(planned=planned, locked=locked, by=request.user, at=timezone.now())
    except REFUSALS as refusal:
        messages.error(request, str(refusal))
    return _back(request, reverse("planned_task", args=[venue.slug, pk]))


@require_POST
@venue_page("plan tasks")
def undo(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan = get_object_or_404(plans_of(venue, request.user), pk=pk)
    try:
        back = undo_last_move(year_plan=plan, by=request.user, at=timezone.now())
        messages.success(request, "Moved back." if back else "There is no move to take back.")
    except REFUSALS as refusal:
        messages.error(request, f"Not moved back. {refusal}")
    return _back(request, reverse("year_plan", args=[venue.slug, pk]))


def _shown(
    request: SignedInRequest, venue: Venue, planned: PlannedTask, asked: HalfDay | None
) -> dict[str, Any]:
    plan, today = planned.year_plan, local_day(venue)
    no_lock = locks_of(plan, today).refusal(planned)
    return {
        "venue": venue,
        "plan": plan,
        "planned": planned,
        "mark": mark_of(planned, plan, today),
        "why": why_of(planned, timezone.now()),
        "moves": planned.moves.select_related("by"),
        "may_move": plan.may_change and may(request.role, "plan tasks"),
        "may_lock": not no_lock and may(request.role, "plan tasks"),
        "no_lock": no_lock if plan.state == plan.State.PUBLISHED else "",
        "sees_money": may(request.role, "see money"),
        "checked": _checked(planned, asked) if asked else None,
        "asked_day": asked[0] if asked else planned.day,
        "asked_half": asked[1] if asked else planned.half,
    }


def _planned(request: SignedInRequest, venue: Venue, pk: int) -> PlannedTask:
    seen = PlannedTask.objects.visible_to(request.user).in_venue(venue)
    rows = planned_tasks(seen).select_related("year_plan__venue")
    return get_object_or_404(rows, pk=pk)


def _is_meant(request: SignedInRequest, what: str) -> bool:
    return request.POST.get(f"{what}_is_meant") in ("yes", "on")


def _half_day(sent: Any) -> HalfDay | None:
    try:
        day = parse_date(sent.get("day", ""))
    except ValueError:
        return None
    half = sent.get("half", "")
    return (day, half) if day and half in HALVES else None


def _checked(planned: PlannedTask, asked: HalfDay) -> MoveChecked:
    if planned.locked:
        return refused(LOCKED)
    return move_checked(planned, *asked, timezone.now()) or refused(ENDED)


def _moved_words(planned: PlannedTask, to: HalfDay) -> str:
    half = PlannedTask.Half(to[1]).label.lower()
    return f"{planned.equipment.tag} {planned.plan.version.title}: now {to[0]:%-d %B %Y}, {half}."


def _back(request: SignedInRequest, usual: str) -> HttpResponse:
    """To the page that sent it, if it is one of ours."""
    back = request.POST.get("back", "")
    ours = back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    return redirect(back if ours else usual)
