from __future__ import annotations

from typing import NamedTuple

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions.visits import note_visit, say_seen
from inspections.half_days import HALF_WORDS
from inspections.queries.audit_questions import open_questions
from inspections.queries.house_section import house_section
from inspections.queries.messages import unsent
from inspections.queries.overview import house_tonight
from inspections.queries.state import EquipmentState, states_of
from inspections.queries.tasks import Stop, half_on, round_of
from inspections.queries.upset_tasks import upset_plans
from inspections.queries.use_checks import use_checks_nearby
from inspections.queries.what_changed import what_changed
from inspections.queries.year_strip import strip_of
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.queries.background import background_work
from venue.roles import may


@venue_page("see pages")
def overview(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """What is out of service, late, due soon; what lapses. Nothing is called safe here."""
    now = timezone.now()
    known = {"venue": venue, "tonight": house_tonight(venue, local_day(venue), now)}
    if request.role == "manager":
        known["background"] = background_work(now)
        known["strip"] = strip_of(venue, local_day(venue))
        known["upset"] = upset_plans(venue, now)
        known["section"] = house_section(venue, local_day(venue))
        rows = unsent(venue, local_day(venue))[:20]
        known["unsent"] = [one for one in rows if one.waits]
        known["given_up"] = [one for one in rows if not one.waits and not one.over]
    if may(request.role, "answer questions"):
        known["questions"] = open_questions(venue)
    if getattr(request, "desk_link", None) is None:  # whoever comes by a link is new each time
        visit = note_visit(venue=venue, person=request.user, at=now)
        known["changed"] = what_changed(venue, request.user, visit, local_day(venue))
    return render(request, "inspections/overview.html", known)


@require_POST
@venue_page("say seen")
def seen(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """What changed up to now was seen."""
    say_seen(venue=venue, person=request.user, at=timezone.now())
    return redirect("overview", venue.slug)


class RoundRow(NamedTuple):
    """A card of the round, and the half of today for which it is planned, in words."""

    stop: Stop
    state: EquipmentState
    half: str


@venue_page("carry out checks")
def my_round(request: SignedInRequest, venue: Venue) -> HttpResponse:
    day = local_day(venue)
    stops = round_of(request.user, venue, day)
    states = states_of({stop.task.equipment for stop in stops}, day)
    rows = [
        RoundRow(stop, states[stop.task.equipment_id], HALF_WORDS[half_on(stop.task, day)])
        for stop in stops
    ]
    on_round = {stop.task.equipment_id for stop in stops}
    shown = {"rows": rows, "day": day, "before_use": use_checks_nearby(venue, on_round, day)}
    return render(request, "inspections/round.html", {"venue": venue, **shown})
