from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from inspections.actions.move_part import move_sound_part
from venue.access import SignedInRequest, venue_page
from venue.actions.parts import WHY, PartRefused
from venue.actions.register_entry import EntryRefused
from venue.forms_parts import move_form
from venue.models import Equipment, Venue
from venue.views.entry import entry_page
from venue.views.parts import is_gone, part_of


@venue_page("change the register")
def move(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    part = part_of(request, venue, pk)
    if part.retired_on:
        return is_gone(request, venue, part)
    form = move_form(request.POST or None, part=part)
    if request.method == "POST" and form.is_valid():
        typed = form.typed()
        if not typed["tag"]:
            form.add_error("tag", "is empty; it is needed.")
            return entry_page(request, venue, form, f"Move {part}", part=part)
        pieces = Equipment.objects.visible_to(request.user).filter(venue=venue)
        to = get_object_or_404(pieces.select_related("venue"), tag=typed["tag"])
        try:
            moved = move_sound_part(
                part=part, to=to, code=typed["part code"], moved_on=typed["installed on"],
                why=typed[WHY], by=request.user, at=timezone.now(),
            )  # fmt: skip
            return redirect("part", venue.slug, moved.pk)
        except EntryRefused as refusal:
            form.tell(refusal.faults)
        except PartRefused as refusal:
            form.add_error(None, str(refusal))
    return entry_page(request, venue, form, f"Move {part}", part=part)
