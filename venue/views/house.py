from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from venue.access import SignedInRequest, venue_page
from venue.actions.house import change_venue as change
from venue.forms import VenueForm
from venue.models import LogLine, Venue
from venue.queries.log_names import shown, with_names
from venue.queries.places import place_tree


@venue_page("see pages")
def house(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """The house itself: how it is set, its places with their hazards, the ways to the rest."""
    return render(request, "venue/house.html", {"venue": venue, "tree": place_tree(venue)})


@venue_page("change the register")
def change_venue(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = VenueForm(request.POST or None, instance=Venue.objects.get(pk=venue.pk))
    if request.method == "POST" and form.is_valid():
        change(venue=venue, fields=form.cleaned_data, by=request.user, at=timezone.now())
        messages.success(request, "Changed.")
        return redirect("house", venue.slug)
    return render(
        request, "venue/form.html", {"venue": venue, "form": form, "title": "Change the house"}
    )


@venue_page("see pages")
def log(request: SignedInRequest, venue: Venue) -> HttpResponse:
    lines = LogLine.objects.visible_to(request.user).in_venue(venue).order_by("-number")
    after = request.GET.get("after", "")
    if after.isdecimal() and len(after) < 16:
        lines = lines.filter(number__gt=int(after))
    pages = Paginator(with_names(lines), 50)
    page = pages.get_page(request.GET.get("page"))
    known = {"venue": venue, "pages": page, "lines": shown(page), "after": after}
    return render(request, "venue/log.html", known)
