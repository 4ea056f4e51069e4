from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from rigging.actions import choose_ruleset as actions
from rigging.engine import load_rulesets
from rigging.engine.limit_set_files import load_limit_sets
from rigging.models import RuleChoice
from rigging.queries.confirmations import open_figures
from rigging.queries.printed_tables import shown_tables
from rigging.queries.ropes import rule_choices
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@venue_page("see pages")
def rules(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """The rule sets in force, who chose them and why; and all the others, side by side."""
    choices = list(rule_choices(venue))
    shown = {"venue": venue, "choices": choices, "rulesets": load_rulesets().values()}
    return render(request, "rigging/rules.html", shown)


@venue_page("see pages")
def ruleset(request: SignedInRequest, venue: Venue, ruleset: str) -> HttpResponse:
    rules = load_rulesets().get(ruleset)
    if rules is None:
        raise Http404
    figures = open_figures(venue, timezone.localdate(), rules)
    tables = shown_tables(rules)
    shown = {"venue": venue, "rules": rules, "figures": figures, "tables": tables}
    shown["confirmed"] = {each.criterion.slug for each in figures if each.confirmed}
    return render(request, "rigging/ruleset.html", shown)


@venue_page("see pages")
def limits(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """The printed limits that are no rope's, with the documents they come from."""
    sets = load_limit_sets().values()
    return render(request, "rigging/limits.html", {"venue": venue, "sets": sets})


@require_POST
@venue_page("choose rule sets")
def choose(request: SignedInRequest, venue: Venue, ruleset: str) -> HttpResponse:
    why = request.POST.get("why", "")
    try:
        actions.choose_ruleset(
            venue=venue, ruleset=ruleset, why=why, by=request.user, at=timezone.now()
        )
    except actions.CannotChoose as refusal:
        messages.error(request, str(refusal))
    return redirect("rules", venue.slug)


@require_POST
@venue_page("choose rule sets")
def end(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    choice = get_object_or_404(RuleChoice.objects.visible_to(request.user), pk=pk, venue=venue)
    try:
        actions.end_ruleset(
            choice=choice, why=request.POST.get("why", ""), by=request.user, at=timezone.now()
        )
    except actions.CannotChoose as refusal:
        messages.error(request, str(refusal))
    return redirect("rules", venue.slug)
