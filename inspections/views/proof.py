from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.email_report import NotSent, email_report
from inspections.actions.venue_seal import venue_seal
from inspections.forms_proof import MailForm
from inspections.lists.reports import report_table
from inspections.models import Report
from inspections.queries import issued_reports as issued
from inspections.queries.asked_reports import reports_to_come
from inspections.queries.disposal import disposal_of_report
from inspections.queries.seals import revoked_seal_of
from inspections.reports.keys import KeysUnreadable, SealExpired
from inspections.views.audit_questions import questions_here
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.file_store import path_of
from venue.list_order import PAST
from venue.models import Venue
from venue.views.long_lists import long_list_page


@venue_page("see pages")
def reports(request: SignedInRequest, venue: Venue) -> HttpResponse:
    past = request.GET.get(PAST, "")
    known = {
        "venue": venue,
        "today": local_day(venue),
        "to_come": reports_to_come(venue, request.user, timezone.now()),
    }
    return long_list_page(
        request, "inspections/report_list.html", report_table(venue),
        lambda: issued.reports_read(venue, request.user, past), known,
    )  # fmt: skip


@venue_page("see pages")
def report(request: SignedInRequest, venue: Venue, number: int) -> HttpResponse:
    return _report_page(request, venue, _report(request, venue, number), MailForm())


@venue_page("see pages")
def report_pdf(request: SignedInRequest, venue: Venue, number: int) -> FileResponse | HttpResponse:
    row = _report(request, venue, number)
    if disposal_of_report(row):
        return redirect("report", venue.slug, number)  # whose page says when and why
    kept = issued.newest_file(row)
    path = path_of(Path(settings.LOFTBOOK_FILES), kept.sha256)
    if not path.exists():
        raise Http404("The file is not in the store.")
    return FileResponse(
        path.open("rb"), as_attachment=True, filename=kept.name, content_type=kept.media_type
    )


@venue_page("see pages")
def root_certificate(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """What a stranger needs to check the seals. Its fingerprint is handed over another way."""
    try:
        pem = venue_seal(venue, timezone.now()).root_pem
    except (KeysUnreadable, SealExpired) as refusal:
        messages.error(request, str(refusal))
        return redirect("reports", venue.slug)
    name = f'attachment; filename="{venue.slug}-root.pem"'
    return HttpResponse(
        pem, content_type="application/x-pem-file", headers={"Content-Disposition": name}
    )


@venue_page("issue reports")
def report_email(request: SignedInRequest, venue: Venue, number: int) -> HttpResponse:
    row = _report(request, venue, number)
    form = MailForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            email_report(report=row, by=request.user, at=timezone.now(), **form.cleaned_data)
            messages.success(request, f"Sent to {form.cleaned_data['to']}.")
            return redirect("report", venue.slug, number)
        except NotSent as refusal:
            form.add_error(None, str(refusal))
    return _report_page(request, venue, row, form)


def _report(request: SignedInRequest, venue: Venue, number: int) -> Report:
    return get_object_or_404(issued.reports_of(venue, request.user), number=number)


def _report_page(
    request: SignedInRequest, venue: Venue, row: Report, form: MailForm
) -> HttpResponse:
    known = {"venue": venue, "report": row, "records": issued.records_in(row), "form": form}
    known["countersignatures"] = issued.countersignatures_of(row)
    known["revoked"] = revoked_seal_of(row)
    known["gone"] = disposal_of_report(row)
    known |= questions_here(request, venue, report=row)
    return render(request, "inspections/report_page.html", known)
