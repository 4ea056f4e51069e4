from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from rigging.queries.every_rule import SHOWN, every_rule, observations_of
from venue.access import SignedInRequest, venue_page
from venue.models import Part, Venue


@venue_page("see pages")
def page(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """One rope, every rule: all verdicts side by side on the latest or a chosen observation."""
    parts = Part.objects.visible_to(request.user).filter(equipment__venue=venue)
    part = get_object_or_404(parts.select_related("equipment"), pk=pk, kind="wire_rope")
    rows = observations_of(part, request.user)
    asked = request.GET.get("observation", "")
    chosen = get_object_or_404(rows, pk=asked) if asked.isdecimal() else rows.first()
    day = timezone.localdate()
    whole = every_rule(venue, part, chosen, list(rows[:SHOWN]), day) if chosen else None
    shown = {"venue": venue, "part": part, "whole": whole}
    return render(request, "rigging/every_rule.html", shown)
