"""The steps of the first hour in which much is chosen at once: rule sets, regimes."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from inspections.actions.plans import apply_regimes
from inspections.first_starts import usually_meant
from inspections.forms_set_up import CountryForm, RegimesForm, RuleSetsForm
from inspections.queries.set_up_regimes import proposed_regimes, wanted_regimes, with_starts
from inspections.views.day import local_day
from rigging.actions.choose_ruleset import choose_rulesets
from rigging.first_choice import countries, plain_rulesets
from rigging.queries.ropes import rule_choices
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.zone_habits import habits_of


@venue_page("set up the house")
def rules(request: SignedInRequest, venue: Venue) -> HttpResponse:
    said = request.POST if request.method == "POST" else request.GET
    country = said.get("country", "")
    country = country if country in countries() else habits_of(venue.time_zone).country
    # Another country proposes other rule sets; why they apply, where it is typed already, stays.
    rows, posted = plain_rulesets(country), request.method == "POST" and "show" not in said
    why = {"why": said.get("why", "")}
    form = RuleSetsForm(request.POST if posted else None, rows=rows, initial=why)
    if posted and form.is_valid():
        chosen = choose_rulesets(
            venue=venue, rulesets=form.cleaned_data["ruleset"], why=form.cleaned_data["why"],
            by=request.user, at=timezone.now(),
        )  # fmt: skip
        messages.success(request, f"In force now: {', '.join(chosen)}.")
        return redirect("set_up", venue.slug)
    ticked = set(request.POST.getlist("ruleset")) if posted else set(countries()[country].why)
    page = {
        "venue": venue, "rows": rows, "form": form, "ticked": ticked,
        "country_form": CountryForm(initial={"country": country}),
        "choices": [one for one in rule_choices(venue) if one.ended_on is None],
    }  # fmt: skip
    status = 422 if form.errors else 200
    return render(request, "inspections/set_up/rules.html", page, status=status)


@venue_page("set up the house")
def regimes(request: SignedInRequest, venue: Venue) -> HttpResponse:
    kinds, posted = proposed_regimes(venue, request.user), request.method == "POST"
    every = [one for _, _, those in kinds for one in those]
    data = request.POST if posted else None
    form = RegimesForm(data, proposals=every, today=local_day(venue))
    if posted and form.is_valid():
        said, at = form.cleaned_data, timezone.now()
        wanted = wanted_regimes(venue, every, set(said["proposal"]), set(said["counted"]))
        made = apply_regimes(wanted=wanted, first_by=said["first_by"], by=request.user, at=at)
        one = "1 plan is made, and its tasks."
        messages.success(request, one if made == 1 else f"{made} plans are made, and their tasks.")
        return redirect("set_up", venue.slug)
    ticked = {one.key for one in every if one.ticked}
    counted = {one.key for one in every if usually_meant(one.regime.interval, one.regime.level)}
    shown = with_starts(kinds, venue, local_day(venue))
    page = {
        "venue": venue, "form": form, "kinds": shown, "listed": any(kind.listed for kind in shown),
        "things": venue.equipment.exists(),
        "ticked": set(request.POST.getlist("proposal")) if posted else ticked,
        "counted": set(request.POST.getlist("counted")) if posted else counted,
    }  # fmt: skip
    status = 422 if form.errors else 200
    return render(request, "inspections/set_up/regimes.html", page, status=status)
