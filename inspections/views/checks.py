from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions import fill_check as actions
from inspections.actions.keep_typed import keep_all_typed, keep_files, keep_one_typed
from inspections.actions.submit_check import CheckIncomplete, submit_check
from inspections.consequences import TooMild
from inspections.hours_worked import HOURS, NotHours
from inspections.models import Draft, Task
from inspections.queries.checks import Sheet, sheet_of
from inspections.queries.state import orders_out
from inspections.queries.tasks import why_open_after
from inspections.regime_files import regimes_for
from inspections.views.day import local_day
from inspections.views.question_fields import with_fields
from venue.access import SignedInRequest, venue_page
from venue.kind_files import kinds
from venue.language_now import said
from venue.models import Equipment, Venue


@require_POST
@venue_page("carry out checks")
def start_task(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = Task.objects.visible_to(request.user).select_related("equipment__venue", "plan__version")
    task = get_object_or_404(rows, pk=pk, venue=venue)
    draft = actions.start_task_check(task=task, by=request.user, at=timezone.now())
    return redirect("fill_check", venue.slug, draft.pk)


@require_POST
@venue_page("carry out checks")
def start_use(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = Equipment.objects.visible_to(request.user).select_related("venue")
    equipment = get_object_or_404(rows, pk=pk, venue=venue)
    # A list of checks for other equipment asks nothing of this one, and would read "in order".
    kind, wanted = kinds().get(equipment.kind), request.POST.get("regime", "")
    fitting = regimes_for(kind, equipment.fields) if kind else []
    regime = next((each for each in fitting if each.slug == wanted), None)
    if regime is None:
        messages.error(request, "Choose which check to do.")
        return redirect("by_tag", venue.slug, equipment.tag)
    draft = actions.start_use_check(
        equipment=equipment, regime=regime, by=request.user, at=timezone.now()
    )
    return redirect("fill_check", venue.slug, draft.pk)


@venue_page("carry out checks")
def fill(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    """All questions in one form. With script it shows one at a time; without it is simply long."""
    draft = _draft(request, venue, pk)
    if draft.submitted_at:
        return redirect("record", venue.slug, pk)
    faults: list[str] = []
    if request.method == "POST":
        faults = keep_all_typed(
            draft=draft, post=request.POST, files=request.FILES, by=request.user, at=timezone.now()
        )
        sheet = sheet_of(draft, local_day(venue))
        if not faults and not sheet.open_count:
            return redirect("review_check", venue.slug, pk)
    sheet = sheet_of(draft, local_day(venue))
    shown = _shown(venue, sheet) | {
        "questions": with_fields(sheet.asked, request.role),
        "answer_url": reverse("answer_check", args=[venue.slug, pk]),
        "faults": faults,
    }
    return render(request, "inspections/check.html", shown, status=422 if faults else 200)


@require_POST
@venue_page("carry out checks")
def answer(request: SignedInRequest, venue: Venue, pk: UUID) -> JsonResponse:
    """One answer, kept and judged at once."""
    draft = _draft(request, venue, pk)
    key = request.POST.get("question", "")
    faults = keep_one_typed(
        draft=draft,
        key=key,
        post=request.POST,
        files=request.FILES,
        by=request.user,
        at=timezone.now(),
    )
    asked = {row.question.key: row for row in sheet_of(draft, local_day(venue)).asked}.get(key)
    if asked is None:
        return JsonResponse(
            {"state": "", "words": said("This question is not part of the check.")}, status=404
        )
    return JsonResponse(asked.spoken(faults, said))


@venue_page("carry out checks")
def review(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    draft = _draft(request, venue, pk)
    if draft.submitted_at:
        return redirect("record", venue.slug, pk)
    sheet = sheet_of(draft, local_day(venue))
    return render(request, "inspections/review.html", _shown(venue, sheet))


@require_POST
@venue_page("carry out checks")
def submit(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    draft = _draft(request, venue, pk)
    draft.remark = request.POST.get("remark", draft.remark)[: actions.MAX_REMARK]
    faults = keep_files(draft=draft, files=request.FILES, by=request.user, at=timezone.now())
    faults += _worked_faults(draft, request)
    if faults:
        actions.keep_remark(draft=draft, remark=draft.remark)
        messages.error(request, " ".join(faults))
        return redirect("review_check", venue.slug, pk)
    try:
        record = submit_check(draft=draft, by=request.user, at=timezone.now(), role=request.role)
    except (CheckIncomplete, TooMild) as refusal:
        actions.keep_remark(draft=draft, remark=draft.remark)
        messages.error(request, str(refusal))
        return redirect("fill_check", venue.slug, pk)
    if why := why_open_after(record):
        messages.warning(request, f"The record is kept. Its task stays open: {why}.")
    return redirect("record", venue.slug, record.pk)


def _worked_faults(draft: Draft, request: SignedInRequest) -> list[str]:
    """What is wrong with the hours worked; kept as typed in any case."""
    try:
        if HOURS in request.POST:
            actions.keep_worked(draft=draft, fields=request.POST.dict())
    except NotHours as fault:
        return [str(fault)]
    return []


def _shown(venue: Venue, sheet: Sheet) -> dict[str, Any]:
    out = orders_out(sheet.draft.equipment, local_day(venue))
    return {"venue": venue, "sheet": sheet, "orders_out": out}


def _draft(request: SignedInRequest, venue: Venue, pk: UUID) -> Draft:
    """A draft is its owner's: nobody else's session sends it."""
    rows = Draft.objects.visible_to(request.user).select_related(
        "equipment__place", "version", "task"
    )
    draft = get_object_or_404(rows, pk=pk, equipment__venue=venue, by=request.user)
    draft.equipment.venue = venue  # the very same, so it is not asked for again
    return draft
