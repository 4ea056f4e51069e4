"""What was due and what was done, for whoever audits; and a sample of it, drawn by a stated seed."""

from __future__ import annotations

from datetime import timedelta
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from inspections.actions.draw_sample import draw_sample
from inspections.forms_proof import DaysForm, DrawForm
from inspections.lists.audit import audit_table
from inspections.queries.audit import days_of
from inspections.queries.audit_questions import open_questions
from inspections.queries.evidence import Span
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.views.long_lists import long_list_page


@venue_page("export evidence")
def audit(request: SignedInRequest, venue: Venue) -> HttpResponse:
    today = local_day(venue)
    first = {"start": today - timedelta(days=365), "end": today}
    form = DaysForm(request.GET if "start" in request.GET else first)
    known = {"venue": venue, "form": form, "questions": open_questions(venue)}
    if form.is_valid():
        days = days_of(Span(venue, form.cleaned_data["start"], form.cleaned_data["end"]), today)
        known |= {"days": days, "outcome": request.GET.get("outcome", "")}
        known |= {"chosen": form.cleaned_data, "draw": DrawForm(initial=form.cleaned_data)}
        return long_list_page(
            request, "inspections/audit.html", audit_table(venue), lambda: days.rows, known
        )
    return render(request, "inspections/audit.html", known)


@venue_page("export evidence")
def sample(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Drawing is a deed and stands in the log; looking at the same draw again is none."""
    form = DrawForm(request.POST if request.method == "POST" else request.GET)
    if not form.is_valid():
        return render(request, "inspections/audit_sample.html", {"venue": venue, "draw": form})
    asked, today = form.cleaned_data, local_day(venue)
    span = Span(venue, asked["start"], asked["end"])
    days = days_of(span, today)
    drawn = days.sample(asked["seed"], asked["number"])
    if request.method == "POST":
        draw_sample(
            span=span, seed=asked["seed"], of=len(days.rows), sample=drawn, by=request.user,
            at=timezone.now(),
        )  # fmt: skip
        return redirect(f"{reverse('audit_sample', args=[venue.slug])}?{urlencode(asked)}")
    known = {"venue": venue, "asked": asked, "rows": drawn, "of": len(days.rows)}
    return render(request, "inspections/audit_sample.html", known)
