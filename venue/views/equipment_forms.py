from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from venue.access import SignedInRequest, venue_page
from venue.actions.equipment import add_equipment, change_equipment
from venue.actions.keep_file import NotADocument, attach_to_equipment
from venue.actions.register_entry import ChangedMeanwhile, EntryRefused
from venue.file_store import StoreFull
from venue.forms_equipment import NEW, equipment_form
from venue.forms_files import FileForm
from venue.kind_files import kinds
from venue.models import Equipment, Venue
from venue.photographs import NotAPhotograph
from venue.queries.register import cells_of_equipment
from venue.views.entry import entry_page


@venue_page("change the register")
def add(request: SignedInRequest, venue: Venue) -> HttpResponse:
    kind = kinds().get(request.GET.get("kind", ""))
    if kind is None:
        labels = [(one.label(venue.dialect), one) for one in kinds().values()]
        shown = {"venue": venue, "title": "Add equipment", "kinds": labels}
        return render(request, "venue/choose_kind.html", shown)
    form = equipment_form(request.POST or None, venue=venue, kind=kind, cells=NEW, new=True)
    if request.method == "POST" and form.is_valid():
        try:
            typed = form.typed() | {"kind": kind.slug}
            made = add_equipment(venue=venue, typed=typed, by=request.user, at=timezone.now())
            return redirect("equipment", venue.slug, made.pk)
        except EntryRefused as refusal:
            form.tell(refusal.faults)
    return entry_page(request, venue, form, f"Add: {kind.label(venue.dialect)}", kind=kind)


@venue_page("change the register")
def change(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    equipment = _piece(request, venue, pk)
    kind, cells = kinds().get(equipment.kind), cells_of_equipment(equipment)
    form = equipment_form(request.POST or None, venue=venue, kind=kind, cells=cells, new=False)
    if request.method == "POST" and form.is_valid():
        try:
            change_equipment(
                equipment=equipment, typed=form.typed(), shown=form.was_shown(),
                by=request.user, at=timezone.now(),
            )  # fmt: skip
            messages.success(request, "Saved.")
            return redirect("equipment", venue.slug, pk)
        except EntryRefused as refusal:
            form.tell(refusal.faults)
        except ChangedMeanwhile as change:
            form = form.caught_up(change.shown, change.now)
    return entry_page(request, venue, form, f"Change {equipment}", kind=kind, equipment=equipment)


@venue_page("add photographs")
def add_file(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    equipment = _piece(request, venue, pk)
    form = FileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            attach_to_equipment(
                equipment=equipment, by=request.user, at=timezone.now(), **form.sent()
            )
            return redirect("equipment", venue.slug, pk)
        except (NotAPhotograph, NotADocument, StoreFull) as fault:
            form.add_error("file", str(fault))
    shown = {"venue": venue, "form": form, "equipment": equipment, "thing": equipment}
    return render(request, "venue/add_file.html", shown, status=422 if form.errors else 200)


def _piece(request: SignedInRequest, venue: Venue, pk: int) -> Equipment:
    rows = Equipment.objects.visible_to(request.user).select_related("venue")
    return get_object_or_404(rows, pk=pk, venue=venue)
