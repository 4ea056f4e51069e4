from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions import planning_settings as actions
from inspections.forms_planning import AbsenceForm, PlanningForm, SetUpForm, TradeForm, WeekForm
from inspections.models import Absence
from inspections.queries import planning_page as page
from inspections.queries.planning_settings import (
    people_who_work,
    set_up_rows,
    settings_of,
    trade_rows,
    weeks_of,
)
from inspections.views.day import local_day
from inspections.work_files import work_needs
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@venue_page("plan tasks")
def planning_settings(request: SignedInRequest, venue: Venue) -> HttpResponse:
    told = settings_of(venue)
    form = PlanningForm(request.POST or None, instance=told.row)
    if request.method == "POST" and form.is_valid():
        actions.set_planning(
            venue=venue, fields=form.cleaned_data, by=request.user, at=timezone.now()
        )
        return redirect("planning_settings", venue.slug)
    shown = {
        "venue": venue, "form": form, "given": told.given, "weeks": page.week_lines(venue),
        "trades": page.trade_lines(venue), "set_ups": page.set_up_lines(venue),
        "absences": page.absences_to_come(venue, local_day(venue)),
        "hours": page.hours_lines(venue, timezone.now()),
    }  # fmt: skip
    return render(request, "inspections/planning_settings.html", shown)


@venue_page("plan tasks")
def working_week(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    person = next((each for each in people_who_work(venue) if each.pk == pk), None)
    if person is None:
        raise Http404("Nobody who works here.")
    form = WeekForm(request.POST or None, instance=weeks_of(venue, [person])[0][0])
    if request.method == "POST" and form.is_valid():
        actions.set_working_week(
            venue=venue, person=person, fields=form.cleaned_data, by=request.user, at=timezone.now()
        )
        return redirect("planning_settings", venue.slug)
    return _form(request, venue, form, f"Working week of {person.name}")


@venue_page("plan tasks")
def add_absence(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = AbsenceForm(request.POST or None, venue=venue)
    if request.method == "POST" and form.is_valid():
        actions.add_absence(venue=venue, by=request.user, at=timezone.now(), **form.cleaned_data)
        return redirect("planning_settings", venue.slug)
    return _form(request, venue, form, "Somebody is away")


@require_POST
@venue_page("plan tasks")
def end_absence(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    absence = get_object_or_404(Absence.objects.visible_to(request.user).in_venue(venue), pk=pk)
    actions.end_absence(absence=absence, by=request.user, at=timezone.now())
    return redirect("planning_settings", venue.slug)


@venue_page("plan tasks")
def examiner_trade(request: SignedInRequest, venue: Venue, trade: str) -> HttpResponse:
    row, _ = trade_rows(venue).get(trade, (None, False))
    if row is None:
        raise Http404("No such trade.")
    form = TradeForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        actions.set_examiner_trade(
            venue=venue, slug=trade, fields=form.cleaned_data, by=request.user, at=timezone.now()
        )
        return redirect("planning_settings", venue.slug)
    return _form(request, venue, form, f"Outside examiner: {work_needs().trades[trade].words}")


@venue_page("plan tasks")
def set_up_price(request: SignedInRequest, venue: Venue, set_up: str) -> HttpResponse:
    row, _ = set_up_rows(venue).get(set_up, (None, False))
    if row is None:
        raise Http404("No such thing is made ready.")
    form = SetUpForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        actions.set_set_up_price(
            venue=venue, slug=set_up, fields=form.cleaned_data, by=request.user, at=timezone.now()
        )
        return redirect("planning_settings", venue.slug)
    words = work_needs().set_ups[set_up].words
    return _form(request, venue, form, words[0].upper() + words[1:])


@require_POST
@venue_page("plan tasks")
def hours_choice(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Plan a kind of check with the estimate although hours are on record, or with those again."""
    kind = (request.POST.get("regime", ""), request.POST.get("family", ""))
    now = timezone.now()
    if kind in {line.needed.kind for line in page.hours_lines(venue, now)}:
        regime, family = kind
        actions.set_hours_choice(
            venue=venue, regime=regime, family=family, by=request.user, at=now,
            keep_estimate="keep_estimate" in request.POST,
        )  # fmt: skip
    else:
        messages.error(request, "No such check comes round here.")
    return redirect(f"{reverse('planning_settings', args=[venue.slug])}#hours")


def _form(request: SignedInRequest, venue: Venue, form: forms.BaseForm, title: str) -> HttpResponse:
    shown = {"venue": venue, "form": form, "title": title}
    return render(request, "venue/form.html", shown, status=422 if form.errors else 200)
