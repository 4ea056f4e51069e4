from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions.plans import AlreadyApplied, apply_regime, end_plan
from inspections.actions.shorten_date import DateRefused, next_open_task, shorten_date
from inspections.forms import ApplyRegimeForm
from inspections.forms_plans import ShortenDateForm
from inspections.models import Plan
from inspections.queries.equipment import equipment_whole
from inspections.regime_files import regimes
from inspections.task_dates import first_due
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Equipment, Venue
from venue.queries.listed_days import listed_day_of


@venue_page("apply regimes")
def apply(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    equipment = get_object_or_404(Equipment.objects.visible_to(request.user), pk=pk, venue=venue)
    day = local_day(venue)
    can_apply = equipment_whole(equipment, day).can_apply
    form = ApplyRegimeForm(request.POST or None, regimes=can_apply, today=day)
    if request.method == "POST" and form.is_valid():
        regime, said = regimes()[form.cleaned_data["regime"]], form.cleaned_data
        anchor = said["anchor"] or first_due(said["last_done_on"], regime.interval, day)
        try:
            apply_regime(
                equipment=equipment, regime=regime, anchor=anchor, last_done_on=said["last_done_on"],
                by=request.user, at=timezone.now(),
            )  # fmt: skip
            return redirect("equipment", venue.slug, pk)
        except AlreadyApplied as refusal:
            form.add_error(None, str(refusal))
    shown = {"venue": venue, "form": form, "equipment": equipment, "regimes": can_apply}
    shown["listed"] = listed_day_of(equipment)
    return render(request, "inspections/apply_regime.html", shown)


@require_POST
@venue_page("apply regimes")
def end(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan = get_object_or_404(Plan.objects.visible_to(request.user), pk=pk, equipment__venue=venue)
    if request.POST.get("why", "").strip():
        end_plan(plan=plan, why=request.POST["why"].strip(), by=request.user, at=timezone.now())
    return redirect("equipment", venue.slug, plan.equipment_id)


@venue_page("shorten dates")
def shorten(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """The examiner's shorter next date; the manager enters it from the examiner's report."""
    rows = Plan.objects.visible_to(request.user).filter(equipment__venue=venue, ended_on=None)
    plan = get_object_or_404(
        rows.select_related("equipment__venue", "version", "listed_day"), pk=pk
    )
    form = ShortenDateForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            shorten_date(plan=plan, by=request.user, at=timezone.now(), **form.cleaned_data)
            return redirect("equipment", venue.slug, plan.equipment_id)
        except DateRefused as refusal:
            form.add_error(None, str(refusal))
    shown = {"venue": venue, "form": form, "plan": plan, "task": next_open_task(plan)}
    status = 422 if form.errors else 200
    return render(request, "inspections/plan_date.html", shown, status=status)
