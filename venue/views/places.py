from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from venue.access import SignedInRequest, venue_page
from venue.actions.places import add_place, change_place
from venue.actions.register_entry import ChangedMeanwhile, EntryRefused
from venue.forms_entry import EntryForm
from venue.forms_places import place_form
from venue.models import Place, Venue
from venue.queries.places import place_entry, place_tree
from venue.views.entry import entry_page


@venue_page("change the register")
def add(request: SignedInRequest, venue: Venue) -> HttpResponse:
    wanted = {"parent": request.GET.get("in", "")}
    form = place_form(request.POST or None, tree=place_tree(venue), cells=wanted)
    if request.method == "POST" and form.is_valid():
        try:
            add_place(
                venue=venue, parent=_above(request, venue, form), typed=form.typed(),
                by=request.user, at=timezone.now(),
            )  # fmt: skip
            return redirect("house", venue.slug)
        except EntryRefused as refusal:
            form.tell(refusal.faults)
    return entry_page(request, venue, form, "Add a place")


@venue_page("change the register")
def change(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    place = get_object_or_404(Place.objects.visible_to(request.user), pk=pk, venue=venue)
    form = place_form(request.POST or None, tree=place_tree(venue), cells=place_entry(place))
    if request.method == "POST" and form.is_valid():
        try:
            change_place(
                place=place, parent=_above(request, venue, form), typed=form.typed(),
                shown=form.was_shown(), by=request.user, at=timezone.now(),
            )  # fmt: skip
            messages.success(request, "Saved.")
            return redirect("house", venue.slug)
        except EntryRefused as refusal:
            form.tell(refusal.faults)
        except ChangedMeanwhile as change:
            form = form.caught_up(change.shown, change.now)
    return entry_page(request, venue, form, f"Change {place}")


def _above(request: SignedInRequest, venue: Venue, form: EntryForm) -> Place | None:
    """The place it stands in; none for the top of the house."""
    wanted = form.typed()["parent"]
    if not wanted:
        return None
    number = int(wanted) if wanted.isascii() and wanted.isdecimal() and len(wanted) < 19 else 0
    return get_object_or_404(Place.objects.visible_to(request.user), pk=number, venue=venue)
