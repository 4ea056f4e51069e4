from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db.models import QuerySet
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inspections.actions.ask_for_job import TooManyAsked
from inspections.actions.ask_for_report import ask_for_draft, ask_for_report
from inspections.actions.issue_report import CannotReport, MayNotSign, may_sign
from inspections.actions.made_files import KEPT_FOR, made_folder
from inspections.forms_proof import SignForm
from inspections.models import Record
from inspections.queries import issued_reports as issued
from inspections.queries.asked_reports import AskedReport, asked_report, report_jobs
from inspections.reports.keys import KeysUnreadable, SealExpired
from inspections.reports.law import LEVELS
from inspections.reports.words import MEANINGS
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.queries.background import background_work

REFUSALS = (CannotReport, MayNotSign, KeysUnreadable, SealExpired, TooManyAsked)


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


@venue_page("issue reports")
def report_job(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """How far a report is. The page asks again by itself; a signed report, once made, has its own."""
    asked = _asked(request, venue, pk)
    if asked.number is not None:
        messages.success(request, f"Report {asked.number} is signed and kept.")
        return redirect("report", venue.slug, asked.number)
    known = {"venue": venue, "asked": asked, "kept_for": KEPT_FOR}
    known["background"] = None if asked.ended else background_work(asked.now)
    return render(request, "inspections/report_job.html", known)


@venue_page("issue reports")
def report_draft(request: SignedInRequest, venue: Venue, pk: int) -> FileResponse | HttpResponse:
    asked = _asked(request, venue, pk)
    if asked.state != "ready" or not asked.draft:
        return redirect("report_job", venue.slug, pk)
    path = made_folder() / asked.job.result["file"]
    if not path.exists():
        raise Http404("The file is no longer there. Ask for the draft again.")
    return FileResponse(
        path.open("rb"), as_attachment=True, filename=asked.file_name,
        content_type="application/pdf",
    )  # fmt: skip


def _asked(request: SignedInRequest, venue: Venue, pk: int) -> AskedReport:
    job = get_object_or_404(report_jobs(venue, request.user), pk=pk)
    return asked_report(job, timezone.now())


def _signing_page(
    request: SignedInRequest,
    venue: Venue,
    records: QuerySet[Record],
    chosen: Sequence[UUID],
    day: date | None = None,
) -> HttpResponse:
    initial = _asked_before(request, venue) or _first(request, records, chosen)
    form = SignForm(request.POST or None, records=records, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            return _signed(request, venue, form)
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    ticked = [row for row in records if row.pk in initial["records"]]
    known = {"venue": venue, "form": form, "records": records, "day": day, "levels": LEVELS}
    known["standing"] = _standing(request, venue, ticked)
    known["background"] = background_work(timezone.now())
    return render(request, "inspections/report_sign.html", known)


def _first(
    request: SignedInRequest, records: QuerySet[Record], chosen: Sequence[UUID]
) -> dict[str, Any]:
    others = any(row.by_id != request.user.pk for row in records if row.pk in chosen)
    # The meaning of one who looked, or of one who did not.
    return {"records": list(chosen), "meaning": MEANINGS[1 if others else 0]}


def _asked_before(request: SignedInRequest, venue: Venue) -> dict[str, Any] | None:
    """What was ticked for a draft, or for a report that could not be made."""
    again = request.GET.get("again", "")
    if not (again.isdecimal() and len(again) < 10):
        return None
    job = report_jobs(venue, request.user).filter(pk=int(again)).first()
    if job is None:
        return None
    records = [UUID(name) for name in job.asked["records"]]
    return {"records": records, "meaning": job.asked["meaning"]}


def _signed(request: SignedInRequest, venue: Venue, form: SignForm) -> HttpResponse:
    records, meaning = list(form.cleaned_data["records"]), form.cleaned_data["meaning"]
    wanted = {"venue": venue, "records": records, "meaning": meaning, "at": timezone.now()}
    if "draft" in request.POST:
        job, new = ask_for_draft(by=request.user, **wanted)
    else:
        job, new = ask_for_report(signer=request.user, **wanted)
    if not new:
        messages.info(request, "This report is being made already: this one.")
    return redirect("report_job", venue.slug, job.pk)


def _standing(request: SignedInRequest, venue: Venue, records: list[Record]) -> str:
    """Whether the person may sign, said before they try."""
    if not records:
        return ""
    try:
        found = may_sign(venue=venue, records=records, signer=request.user, at=timezone.now())
    except MayNotSign as refusal:
        return str(refusal)
    return f"You sign as: {found.words}."
