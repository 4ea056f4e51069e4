from __future__ import annotations

from itertools import groupby
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from rigging.actions.keep_calculation import CannotKeep, keep_calculation
from rigging.calculators import load_calculators
from rigging.calculators.asking import ask
from venue.access import SignedInRequest, venue_page
from venue.models import Equipment, Venue
from venue.roles import may

KEEP = "carry out checks"


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
    shown = {"venue": venue, "asked": ask(found, request.GET.dict())}
    if may(request.role, KEEP):
        shown["pieces"] = Equipment.objects.filter(venue=venue).exclude(standing="gone")
    return render(request, "rigging/calculator.html", shown)


@require_POST
@venue_page(KEEP)
def keep(request: SignedInRequest, venue: Venue, calculator: str) -> HttpResponse:
    """Keep the answer on a piece of equipment; the values come as the address carries them."""
    found = load_calculators().get(calculator)
    if found is None:
        raise Http404
    equipment = get_object_or_404(Equipment, pk=pk_of(request), venue=venue)
    typed = {one.slug: request.POST.get(one.slug, "") for one in found.inputs}
    try:
        keep_calculation(
            equipment=equipment, calculator=found, typed=typed, why=request.POST.get("why", ""),
            by=request.user, at=timezone.now(),
        )  # fmt: skip
    except CannotKeep as refusal:
        messages.error(request, str(refusal))
        address = reverse("calculator", args=[venue.slug, calculator])
        return redirect(f"{address}?{urlencode(typed)}")
    messages.success(request, "The calculation is kept on this equipment.")
    return redirect("equipment", venue.slug, equipment.pk)


def pk_of(request: SignedInRequest) -> int:
    typed = request.POST.get("equipment", "")
    return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 19 else 0
