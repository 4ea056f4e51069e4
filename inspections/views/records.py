from __future__ import annotations

from uuid import UUID

from csp.decorators import csp_update
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inspections.actions.note_on_record import NothingSaid, note_on_record
from inspections.models import Record
from inspections.queries.along import along_of_record
from inspections.queries.disposal import files_gone
from inspections.queries.records import answers_of, phone_words
from inspections.queries.records_to_ask_about import records_to_ask_about
from inspections.queries.signatures import signing_of
from inspections.reports.kind_files import kinds_of_regime
from inspections.views.audit_questions import questions_here
from inspections.views.day import local_day
from inspections.views.first import shown_first
from venue.access import SignedInRequest, venue_page
from venue.models import Venue


@csp_update({"media-src": ["'self'"]})
@venue_page("see pages")
def record_page(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    rows = Record.objects.visible_to(request.user).select_related(
        "equipment__place", "version", "task", "by"
    )
    record = get_object_or_404(rows, pk=pk, venue=venue)
    shown = {
        "venue": venue,
        "record": record,
        "answers": answers_of(record),
        "first": shown_first(record.equipment, venue),
        "phone": phone_words(record),
        "signing": signing_of(record),
        "along": along_of_record(record),
        "notes": record.notes.select_related("by"),
        "report_kinds": kinds_of_regime(record.version.slug),
    }
    shown["gone"] = files_gone(record)
    shown |= questions_here(request, venue, record=record)
    return render(request, "inspections/record.html", shown)


@venue_page("plan tasks")
def records_to_ask(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Questions for a talk, not a list of culprits."""
    shown = {"venue": venue, "raised": records_to_ask_about(venue, local_day(venue))}
    return render(request, "inspections/records_to_ask.html", shown)


@require_POST
@venue_page("plan tasks")
def add_note(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    record = get_object_or_404(Record.objects.visible_to(request.user), pk=pk, venue=venue)
    try:
        note_on_record(
            record=record, text=request.POST.get("text", ""), by=request.user, at=timezone.now()
        )
    except NothingSaid as fault:
        messages.error(request, str(fault))
    return redirect("record", venue.slug, pk)
