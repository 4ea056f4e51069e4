from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from venue.access import SignedInRequest, venue_page
from venue.actions.keep_file import NotADocument, attach_to_part
from venue.actions.parts import LEFT, WHY, PartRefused, add_part, change_part, replace_part
from venue.actions.register_entry import ChangedMeanwhile, EntryRefused
from venue.file_store import StoreFull
from venue.forms_files import FileForm
from venue.forms_parts import part_form, replace_form
from venue.kind_files import kinds, part_kinds
from venue.models import Equipment, Part, Venue
from venue.photographs import NotAPhotograph
from venue.queries.register import cells_of_part
from venue.views.entry import entry_page


@venue_page("change the register")
def add(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rows = Equipment.objects.visible_to(request.user).select_related("venue")
    equipment = get_object_or_404(rows, pk=pk, venue=venue)
    kind = part_kinds().get(request.GET.get("kind", ""))
    if kind is None:
        return _choose_kind(request, venue, equipment)
    form = part_form(request.POST or None, venue=venue, kind=kind, cells={}, new=True)
    if request.method == "POST" and form.is_valid():
        try:
            typed = form.typed() | {"kind": kind.slug}
            made = add_part(equipment=equipment, typed=typed, by=request.user, at=timezone.now())
            return redirect("part", venue.slug, made.pk)
        except EntryRefused as refusal:
            form.tell(refusal.faults)
    title = f"Add to {equipment}: {kind.label(venue.dialect)}"
    return entry_page(request, venue, form, title, kind=kind, equipment=equipment)


def _choose_kind(request: SignedInRequest, venue: Venue, equipment: Equipment) -> HttpResponse:
    whole = kinds().get(equipment.kind)
    slots = whole.part_kinds if whole else ()
    labels = [(slot.label, part_kinds()[slot.kind]) for slot in slots]
    shown = {"venue": venue, "title": f"Add a part to {equipment}", "kinds": labels}
    return render(request, "venue/choose_kind.html", shown | {"equipment": equipment})


@venue_page("change the register")
def change(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    part = part_of(request, venue, pk)
    if part.retired_on:
        return is_gone(request, venue, part)
    kind = part_kinds().get(part.kind)
    cells = cells_of_part(part)
    form = part_form(request.POST or None, venue=venue, kind=kind, cells=cells, new=False)
    if request.method == "POST" and form.is_valid():
        try:
            change_part(
                part=part, typed=form.typed(), shown=form.was_shown(), by=request.user,
                at=timezone.now(),
            )  # fmt: skip
            messages.success(request, "Saved.")
            return redirect("part", venue.slug, pk)
        except EntryRefused as refusal:
            form.tell(refusal.faults)
        except PartRefused as refusal:
            form.add_error(None, str(refusal))
        except ChangedMeanwhile as change:
            form = form.caught_up(change.shown, change.now)
    return entry_page(request, venue, form, f"Change {part}", kind=kind, part=part)


@venue_page("change the register")
def replace(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    part = part_of(request, venue, pk)
    if part.retired_on:
        return is_gone(request, venue, part)
    kind = part_kinds().get(part.kind)
    form = replace_form(request.POST or None, part=part, kind=kind, cells=cells_of_part(part))
    if request.method == "POST" and form.is_valid():
        typed = form.typed()
        why, out = typed.pop(WHY), typed.pop(LEFT)
        try:
            new = replace_part(
                part=part, typed=typed, why=why, taken_out_on=out, by=request.user,
                at=timezone.now(),
            )  # fmt: skip
            return redirect("part", venue.slug, new.pk)
        except EntryRefused as refusal:
            form.tell(refusal.faults)
        except PartRefused as refusal:
            form.add_error(None, str(refusal))
    return entry_page(request, venue, form, f"Replace {part}", kind=kind, part=part)


@venue_page("add photographs")
def add_file(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    part = part_of(request, venue, pk)
    form = FileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        try:
            attach_to_part(part=part, by=request.user, at=timezone.now(), **form.sent())
            return redirect("part", venue.slug, pk)
        except (NotAPhotograph, NotADocument, StoreFull) as fault:
            form.add_error("file", str(fault))
    shown = {"venue": venue, "form": form, "part": part, "thing": part}
    return render(request, "venue/add_file.html", shown, status=422 if form.errors else 200)


def part_of(request: SignedInRequest, venue: Venue, pk: int) -> Part:
    rows = Part.objects.visible_to(request.user).select_related("equipment__venue", "successor")
    return get_object_or_404(rows, pk=pk, equipment__venue=venue)


def is_gone(request: SignedInRequest, venue: Venue, part: Part) -> HttpResponse:
    """A form sent twice, or an old page: show what became of the part, and change nothing."""
    messages.error(
        request, f"{part} was taken from here on {part.retired_on}. Nothing was changed."
    )
    return redirect("part", venue.slug, part.successor_id or part.pk)
