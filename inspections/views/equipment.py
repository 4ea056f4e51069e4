from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inspections.forms import RetirePartForm
from inspections.lists.equipment import equipment_table
from inspections.lists.ropes import rope_table
from inspections.queries.batten_loads import batten_loads
from inspections.queries.equipment import equipment_rows, equipment_whole, labelled, part_whole
from inspections.queries.house_section import where_it_is
from inspections.queries.rope_list import rope_rows
from inspections.tag_codes import tag_svg
from inspections.views.addresses import address_for_phones, leads_only_here
from inspections.views.day import local_day
from inspections.views.first import shown_first
from venue.access import SignedInRequest, venue_page
from venue.actions.parts import PartRefused, retire_part
from venue.models import Equipment, Part, Venue
from venue.queries.places import place_tree
from venue.views.long_lists import long_list_page


@venue_page("see pages")
def equipment_list(request: SignedInRequest, venue: Venue) -> HttpResponse:
    table = equipment_table(venue, place_tree(venue), alone=bool(request.GET.get("alone")))
    return long_list_page(
        request, "inspections/equipment_list.html", table,
        lambda: equipment_rows(venue, local_day(venue)), {"venue": venue},
    )  # fmt: skip


@venue_page("see pages")
def rope_list(request: SignedInRequest, venue: Venue) -> HttpResponse:
    return long_list_page(
        request, "inspections/rope_list.html", rope_table(venue), lambda: rope_rows(venue, local_day(venue)),
        {"venue": venue},
    )  # fmt: skip


@venue_page("see pages")
def equipment_page(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    equipment = get_object_or_404(_pieces(request, venue), pk=pk)
    shown = {
        "venue": venue,
        "whole": equipment_whole(equipment, local_day(venue)),
        "loads": batten_loads(equipment),
        "where": where_it_is(equipment),
        "today": local_day(venue),
    }
    return render(request, "inspections/equipment.html", shown)


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
    shown = {
        "venue": venue,
        "whole": part_whole(part, local_day(venue)),
        "first": shown_first(part.equipment, venue),
    }
    return render(request, "inspections/part.html", shown)


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


@venue_page("see pages")
def labels(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """A printable sheet of tags: QR code, tag in large letters, name, place."""
    pieces = labelled(venue)
    if request.GET.get("kind"):
        pieces = pieces.filter(kind=request.GET["kind"])
    cards = [
        (
            piece,
            tag_svg(address_for_phones(request, reverse("by_tag", args=[venue.slug, piece.tag]))),
        )
        for piece in pieces
    ]
    only_here = leads_only_here(address_for_phones(request, "/"))
    page = {"venue": venue, "cards": cards, "only_here": only_here}
    return render(request, "inspections/labels.html", page)


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
