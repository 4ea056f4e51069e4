from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date

from venue.access import SignedInRequest, venue_page
from venue.actions.house import change_venue as change
from venue.forms import VenueForm
from venue.list_order import PAST
from venue.lists.log import log_table
from venue.models import Venue
from venue.queries.log_names import ShownLine
from venue.queries.log_pages import lines_read, size_of_log
from venue.queries.places import place_tree
from venue.table_shapes import Stretch
from venue.views.long_lists import long_list_page


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
    after, day = request.GET.get("after", ""), _day(request.GET.get("until", ""))
    since = int(after) if after.isdecimal() and len(after) < 16 else 0

    def lines() -> Stretch[ShownLine]:
        past = request.GET.get(PAST, "")
        return lines_read(venue, request.user, past=past, after=since, day=day)

    known = {"venue": venue, "size": size_of_log(venue), "after": since}
    return long_list_page(request, "venue/log.html", log_table(), lines, known)


def _day(text: str) -> date | None:
    try:
        day = parse_date(text)
    except ValueError:  # a day that no month has
        return None
    return None if day == date.max else day  # after which there is none
