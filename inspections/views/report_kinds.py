from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone

from inspections.actions.ask_for_job import TooManyAsked
from inspections.actions.ask_for_report import ask_for_kind, ask_for_kind_draft
from inspections.actions.issue_report import CannotReport, MayNotSign
from inspections.actions.sign_kind import Wanted, may_sign_kind
from inspections.forms_report_kinds import ASKING, STATE, ChoosingForm, StateForm
from inspections.queries.asked_reports import report_jobs
from inspections.queries.report_kinds.content import stated_items, to_state, told_of
from inspections.queries.report_kinds.shapes import Told
from inspections.reports.keys import KeysUnreadable, SealExpired
from inspections.reports.kind_files import ReportKind, report_kinds
from inspections.views.day import local_day
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.queries.background import background_work

REFUSALS = (CannotReport, MayNotSign, KeysUnreadable, SealExpired, TooManyAsked)


def year_until(day: date) -> dict[str, date]:
    """The last year, this day included."""
    return {"start": day - timedelta(days=364), "end": day}


@venue_page("issue reports")
def new_report(request: SignedInRequest, venue: Venue) -> HttpResponse:
    known = {"venue": venue, "kinds": report_kinds().values()}
    return render(request, "inspections/report_new.html", known)


@venue_page("issue reports")
def report_kind(request: SignedInRequest, venue: Venue, kind: str) -> HttpResponse:
    """First what the report is to tell of, by GET; then what is in it, and the signature."""
    found = report_kinds().get(kind)
    if found is None:
        raise Http404
    asked = set(request.GET) - {"again"}
    usual = year_until(local_day(venue))
    choosing = ASKING[found.asks](
        _with_usual_days(request, usual) if asked else None, kind=found, venue=venue,
        person=request.user, initial=usual,
    )  # fmt: skip
    known: dict[str, Any] = {"venue": venue, "kind": found, "choosing": choosing}
    if choosing.is_bound and choosing.is_valid():
        return _signing(request, choosing, found, known)
    return render(request, "inspections/report_kind.html", known)


def _with_usual_days(request: SignedInRequest, usual: dict[str, date]) -> QueryDict:
    """A page that leads here names the equipment; the days may be left to be the usual ones."""
    data = request.GET.copy()
    for name, day in usual.items():
        data.setdefault(name, day.isoformat())
    return data


def _signing(
    request: SignedInRequest, choosing: ChoosingForm, kind: ReportKind, known: dict[str, Any]
) -> HttpResponse:
    chosen = choosing.chosen()
    told = told_of(kind, chosen, timezone.now())
    mine = kind.own and told.examiners == {request.user.pk}
    first = {"meaning": kind.own if mine else (kind.meanings or (kind.own,))[0]}
    form = StateForm(
        request.POST or None, kind=kind, items=to_state(kind, told),
        initial=first | _before(request, chosen.venue, kind),
    )  # fmt: skip
    if request.method == "POST" and form.is_valid():
        wanted = Wanted(kind, chosen, form.stated())
        try:
            return _asked(request, wanted, form.cleaned_data["meaning"])
        except REFUSALS as refusal:
            form.add_error(None, str(refusal))
    known |= {"form": form, "told": told, "items": stated_items(kind, told)}
    known["standing"] = _standing(request, kind, told, choosing)
    known["background"] = background_work(timezone.now())
    return render(request, "inspections/report_kind.html", known)


def _asked(request: SignedInRequest, wanted: Wanted, meaning: str) -> HttpResponse:
    query = request.GET.copy()
    query.pop("again", None)
    said: dict[str, Any] = {
        "wanted": wanted,
        "query": query.urlencode(),
        "meaning": meaning,
        "at": timezone.now(),
    }
    if "draft" in request.POST:
        job, new = ask_for_kind_draft(by=request.user, **said)
    else:
        job, new = ask_for_kind(signer=request.user, **said)
    if not new:
        messages.info(request, "This report is being made already: this one.")
    return redirect("report_job", wanted.chosen.venue.slug, job.pk)


def _standing(
    request: SignedInRequest, kind: ReportKind, told: Told, choosing: ChoosingForm
) -> str:
    """Whether the person may sign, said before they try."""
    try:
        found = may_sign_kind(
            kind=kind, told=told, chosen=choosing.chosen(), signer=request.user, at=timezone.now()
        )
    except MayNotSign as refusal:
        return str(refusal)
    return f"You sign as: {found.words}."


def _before(request: SignedInRequest, venue: Venue, kind: ReportKind) -> dict[str, str]:
    """What was stated for a draft, or for a report that could not be made."""
    again = request.GET.get("again", "")
    if not (again.isdecimal() and len(again) < 10):
        return {}
    job = report_jobs(venue, request.user).filter(pk=int(again)).first()
    if job is None or job.asked.get("kind") != kind.slug:
        return {}
    stated = {f"{STATE}{key}": text for key, text in job.asked["stated"].items()}
    return stated | {"meaning": job.asked["meaning"]}
