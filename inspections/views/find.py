"""The search box: a page that works as a plain form, and the same found as one types."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from inspections.find_words import LONGEST
from inspections.queries.search import search
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@venue_page("see pages")
def find(request: SignedInRequest, venue: Venue) -> HttpResponse:
    return _shown(request, venue, "inspections/find.html")


@venue_page("see pages")
def find_now(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """For the script: the list alone."""
    return _shown(request, venue, "inspections/find_now.html")


def _shown(request: SignedInRequest, venue: Venue, template: str) -> HttpResponse:
    typed = request.GET.get("q", "")[:LONGEST]
    groups = search(venue, request.role, typed, local_day(venue))
    return render(request, template, {"venue": venue, "typed": typed, "groups": groups})
