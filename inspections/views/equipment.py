from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.forms import RetirePartForm
from inspections.queries.equipment import equipment_rows, equipment_whole, labelled, part_whole
from inspections.tag_codes import tag_svg
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.actions.keep_file import (
    NotADocument,
    add_equipment_document,
    add_equipment_photograph,
)
from venue.actions.parts import PartRefused, retire_part
from venue.file_store import StoreFull
from venue.kind_files import kinds
from venue.models import Equipment, Part, Venue
from venue.photographs import NotAPhotograph


@venue_page("see pages")
def equipment_list(request: SignedInRequest, venue: Venue) -> HttpResponse:
    wanted = {name: request.GET.get(name, "") for name in ("kind", "words", "state")}
    rows = equipment_rows(venue, local_day(venue), **wanted)
    shown = {
        "venue": venue,
        "rows": rows,
        "wanted": wanted,
        "kinds": [(k.slug, k.label(venue.dialect)) for k in kinds().values()],
    }
    return render(request, "inspections/equipment_list.html", shown)


@venue_page("see pages")
def equipment_page(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    equipment = get_object_or_404(_pieces(request, venue), pk=pk)
    whole = equipment_whole(equipment, local_day(venue))
    return render(
        request,
        "inspections/equipment.html",
        {"venue": venue, "whole": whole, "today": local_day(venue)},
    )


@venue_page("see pages")
def by_tag(request: SignedInRequest, venue: Venue, tag: str) -> HttpResponse:
    """Where a tag's QR code lands: state first, then the checks of this thing."""
    equipment = get_object_or_404(_pieces(request, venue), tag__iexact=tag)
    whole = equipment_whole(equipment, local_day(venue))
    return render(
        request, "inspections/tag.html", {"venue": venue, "whole": whole, "today": local_day(venue)}
    )


@venue_page("see pages")
def part_page(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    part = get_object_or_404(_parts(request, venue), pk=pk)
    return render(request, "inspections/part.html", {"venue": venue, "whole": part_whole(part)})


@venue_page("record a remedy")
def retire(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """A rule computes; a named person retires."""
    part = get_object_or_404(_parts(request, venue), pk=pk, retired_on__isnull=True)
    form = RetirePartForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            successor = retire_part(
                part=part, by=request.user, at=timezone.now(), **form.cleaned_data
            )
            return redirect("part", venue.slug, (successor or part).pk)
        except PartRefused as refusal:
            form.add_error(None, str(refusal))
    return render(
        request, "venue/form.html", {"venue": venue, "form": form, "title": f"Retire {part}"}
    )


@require_POST
@venue_page("carry out checks")
def add_file(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    equipment = get_object_or_404(_pieces(request, venue), pk=pk)
    upload, caption = request.FILES.get("file"), request.POST.get("caption", "")[:200]
    if upload is None:
        messages.error(request, "Choose a photograph or a PDF first.")
        return redirect("equipment", venue.slug, pk)
    is_pdf = (upload.name or "").lower().endswith(".pdf")
    add = add_equipment_document if is_pdf else add_equipment_photograph
    try:
        add(equipment=equipment, upload=upload, caption=caption, by=request.user, at=timezone.now())
    except (NotAPhotograph, NotADocument, StoreFull) as fault:
        messages.error(request, str(fault))
    return redirect("equipment", venue.slug, pk)


@venue_page("see pages")
def labels(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """A printable sheet of tags: QR code, tag in large letters, name, place."""
    pieces = labelled(venue)
    if request.GET.get("kind"):
        pieces = pieces.filter(kind=request.GET["kind"])
    cards = [
        (
            piece,
            tag_svg(request.build_absolute_uri(reverse("by_tag", args=[venue.slug, piece.tag]))),
        )
        for piece in pieces
    ]
    return render(request, "inspections/labels.html", {"venue": venue, "cards": cards})


def _pieces(request: SignedInRequest, venue: Venue):
    return (
        Equipment.objects.visible_to(request.user)
        .filter(venue=venue)
        .select_related("place", "venue__organisation")
    )


def _parts(request: SignedInRequest, venue: Venue):
    return (
        Part.objects.visible_to(request.user)
        .filter(equipment__venue=venue)
        .select_related("equipment__venue")
    )
