from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions import retention as actions
from inspections.forms_retention import FollowForm, HoldForm, WhyForm
from inspections.models import LegalHold, RetentionChoice
from inspections.queries.disposal import (
    disposals_of,
    records_that_may_go,
    reports_that_may_go,
)
from inspections.queries.disposal_of_things import things_that_may_go
from inspections.queries.retention import classes_kept, followed_by, holds_of
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@venue_page("see retention")
def retention(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """What is kept until when, by which clause, and what is held back."""
    known = {
        "venue": venue,
        "classes": classes_kept(venue, local_day(venue)),
        "followed": followed_by(venue),
        "holds": holds_of(venue),
        "may_go": records_that_may_go(venue, local_day(venue)),
        "reports_may_go": reports_that_may_go(venue, local_day(venue)),
        "things_may_go": things_that_may_go(venue, local_day(venue)),
        "disposals": disposals_of(venue)[:50],
    }
    return render(request, "inspections/retention.html", known)


@venue_page("keep retention")
def follow(request: SignedInRequest, venue: Venue) -> HttpResponse:
    followed = {each.choice.rules for each in followed_by(venue)}
    form = FollowForm(request.POST or None, followed=followed)
    if request.method == "POST" and form.is_valid():
        try:
            said = form.cleaned_data
            actions.follow_retention_rules(venue=venue, by=request.user, at=timezone.now(), **said)
            return redirect("retention", venue.slug)
        except actions.RetentionRefused as refusal:
            form.add_error(None, str(refusal))
    return _form(request, venue, form, "Follow rules of retention")


@venue_page("keep retention")
def end(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = RetentionChoice.objects.visible_to(request.user).in_venue(venue)
    choice = get_object_or_404(rows.select_related("venue"), pk=pk)
    form = WhyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        actions.end_retention_rules(
            choice=choice, why=form.cleaned_data["why"], by=request.user, at=timezone.now()
        )
        return redirect("retention", venue.slug)
    return _form(request, venue, form, "These rules no longer apply")


@venue_page("keep retention")
def hold(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = HoldForm(request.POST or None, equipment=venue.equipment.all())
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        actions.place_hold(venue=venue, by=request.user, at=timezone.now(), **said)
        return redirect("retention", venue.slug)
    return _form(request, venue, form, "Hold records back")


@venue_page("keep retention")
def lift(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = LegalHold.objects.visible_to(request.user).in_venue(venue)
    standing = get_object_or_404(rows.select_related("venue"), pk=pk)
    form = WhyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            why = form.cleaned_data["why"]
            actions.lift_hold(hold=standing, why=why, by=request.user, at=timezone.now())
            return redirect("retention", venue.slug)
        except actions.RetentionRefused as refusal:
            form.add_error(None, str(refusal))
    return _form(request, venue, form, "Lift the hold")


def _form(request: SignedInRequest, venue: Venue, form: object, title: str) -> HttpResponse:
    return render(request, "venue/form.html", {"venue": venue, "form": form, "title": title})
