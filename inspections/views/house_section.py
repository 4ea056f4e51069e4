from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from inspections.queries.house_section import house_section
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@venue_page("see pages")
def section(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """The house as one would cut it open, with the state of all that stands in it."""
    day = local_day(venue)
    return render(
        request, "inspections/house_section.html",
        {"venue": venue, "section": house_section(venue, day), "day": day},
    )  # fmt: skip
