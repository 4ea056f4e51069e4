from __future__ import annotations

from itertools import groupby

from django.http import Http404, HttpResponse
from django.shortcuts import render

from rigging.calculators import load_calculators
from rigging.calculators.asking import ask
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@venue_page("see pages")
def calculators(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """All calculators, by family."""
    found = load_calculators().values()
    families = [(name, list(group)) for name, group in groupby(found, lambda one: one.family)]
    return render(request, "rigging/calculators.html", {"venue": venue, "families": families})


@venue_page("see pages")
def calculator(request: SignedInRequest, venue: Venue, calculator: str) -> HttpResponse:
    """One calculator. What is asked stands in the address, so an answer can be sent as a link."""
    found = load_calculators().get(calculator)
    if found is None:
        raise Http404
    asked = ask(found, request.GET.dict())
    return render(request, "rigging/calculator.html", {"venue": venue, "asked": asked})
