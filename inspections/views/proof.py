from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.email_report import NotSent, email_report
from inspections.actions.issue_report import (
    CannotReport,
    MayNotSign,
    issue_report,
    may_sign,
    venue_seal,
)
from inspections.forms_proof import MailForm, SignForm
from inspections.models import Record, Report
from inspections.queries import issued_reports as issued
from inspections.queries.report_content import report_content
from inspections.reports.document import document_of
from inspections.reports.keys import KeysUnreadable, SealExpired
from inspections.reports.render import PdfNotMade
from inspections.reports.words import MEANINGS
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.file_store import path_of
from venue.models import Venue

REFUSALS = (CannotReport, MayNotSign, PdfNotMade, KeysUnreadable, SealExpired)


@venue_page("see pages")
def reports(request: SignedInRequest, venue: Venue) -> HttpResponse:
    rows = Paginator(issued.reports_of(venue, request.user), 50)
    known = {
        "venue": venue,
        "rows": rows.get_page(request.GET.get("page")),
        "today": local_day(venue),
    }
    return render(request, "inspections/report_list.html", known)


@venue_page("see pages")
def report(request: SignedInRequest, venue: Venue, number: int) -> HttpResponse:
    return _report_page(request, venue, _report(request, venue, number), MailForm())


@venue_page("see pages")
def report_pdf(request: SignedInRequest, venue: Venue, number: int) -> FileResponse:
    kept = _report(request, venue, number).kept_file
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


@venue_page("issue reports")
def report_record(request: SignedInRequest, venue: Venue, pk: UUID) -> HttpResponse:
    records = issued.reportable_records(venue, request.user).filter(pk=pk)
    if not records:
        raise Http404
    return _signing_page(request, venue, records, chosen=[pk])


@venue_page("issue reports")
def report_day(request: SignedInRequest, venue: Venue, day: str) -> HttpResponse:
    """The signer's own records of the day are ticked, or all of the equipment that was chosen."""
    try:
        wanted = date.fromisoformat(day)
    except ValueError as fault:
        raise Http404 from fault
    asked = request.GET.get("equipment", "")
    equipment = int(asked) if asked.isdecimal() and len(asked) < 10 else None
    records = issued.records_of_day(venue, request.user, wanted, equipment)
    mine = records if equipment else records.filter(by=request.user)
    chosen = list(mine.values_list("pk", flat=True))
    return _signing_page(request, venue, records, chosen, day=wanted)


def _report(request: SignedInRequest, venue: Venue, number: int) -> Report:
    return get_object_or_404(issued.reports_of(venue, request.user), number=number)


def _report_page(
    request: SignedInRequest, venue: Venue, row: Report, form: MailForm
) -> HttpResponse:
    known = {"venue": venue, "report": row, "records": issued.records_in(row), "form": form}
    return render(request, "inspections/report_page.html", known)


def _signing_page(
    request: SignedInRequest,
    venue: Venue,
    records: QuerySet[Record],
    chosen: Sequence[UUID],
    day: date | None = None,
) -> HttpResponse:
    initial: dict[str, object] = {"records": chosen}
    if any(row.by_id != request.user.pk for row in records if row.pk in chosen):
        initial["meaning"] = MEANINGS[1]  # the signer is not the one who looked
    form = SignForm(request.POST or None, records=records, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            return _signed(request, venue, form)
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    known = {"venue": venue, "form": form, "records": records, "day": day}
    known["standing"] = _standing(request, venue, [row for row in records if row.pk in chosen])
    return render(request, "inspections/report_sign.html", known)


def _signed(request: SignedInRequest, venue: Venue, form: SignForm) -> HttpResponse:
    records, now = list(form.cleaned_data["records"]), timezone.now()
    if "draft" in request.POST:
        pdf = document_of(report_content(venue, records, now), venue.paper, now).pdf
        name = f'attachment; filename="{venue.slug}-draft.pdf"'
        return HttpResponse(
            pdf, content_type="application/pdf", headers={"Content-Disposition": name}
        )
    row = issue_report(
        venue=venue,
        records=records,
        signer=request.user,
        meaning=form.cleaned_data["meaning"],
        at=now,
    )
    messages.success(request, f"Report {row.number} is signed and kept.")
    return redirect("report", venue.slug, row.number)


def _standing(request: SignedInRequest, venue: Venue, records: list[Record]) -> str:
    """Whether the person may sign, said before they try."""
    if not records:
        return ""
    try:
        found = may_sign(venue=venue, records=records, signer=request.user, at=timezone.now())
    except MayNotSign as refusal:
        return str(refusal)
    return f"You sign as: {found.words}."
