from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render

from inspections.models import Record
from inspections.queries.records import answers_of
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@venue_page("see pages")
def record_page(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    rows = Record.objects.visible_to(request.user).select_related(
        "equipment__place", "version", "task", "by"
    )
    record = get_object_or_404(rows, pk=pk, venue=venue)
    return render(
        request,
        "inspections/record.html",
        {"venue": venue, "record": record, "answers": answers_of(record)},
    )
