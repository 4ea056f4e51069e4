"""A spreadsheet as somebody keeps it, on its way into the register."""

from __future__ import annotations

from datetime import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from venue.access import SignedInRequest, venue_page
from venue.actions import spreadsheets as actions
from venue.actions.import_register import RegisterHasFaults, RegisterMovedOn
from venue.forms_spreadsheet import SpreadsheetForm, said_in
from venue.models import Spreadsheet, Venue
from venue.queries import spreadsheets as queries
from venue.register.grid import UnreadableFile
from venue.register.report import outcome, summary
from venue.spreadsheet.encodings import ENCODINGS
from venue.spreadsheet.saying import Said

SHOWN = 300  # rows; doubts come first, and a page of thousands helps nobody
LOOK_FIRST = "Nothing is read in yet. Look at what changed, then read it in."


@require_GET
@venue_page("change the register")
def spreadsheet(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """How the kept file is understood; without one, the way to send it."""
    kept = Spreadsheet.objects.visible_to(request.user).filter(venue=venue).first()
    if kept is None:
        return _send_page(request, venue, SpreadsheetForm())
    return _shown(request, venue, kept)


@require_POST
@venue_page("change the register")
def send(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = SpreadsheetForm(request.POST, request.FILES)
    if not form.is_valid():
        return _send_page(request, venue, form)
    upload = form.cleaned_data["file"]
    try:
        actions.keep_spreadsheet(
            venue=venue, content=upload.read(), file_name=upload.name, by=request.user,
            at=timezone.now(),
        )  # fmt: skip
    except UnreadableFile as fault:
        form.add_error("file", str(fault))
        return _send_page(request, venue, form)
    return redirect("spreadsheet", venue.slug)


@require_POST
@venue_page("change the register")
def say(request: SignedInRequest, venue: Venue) -> HttpResponse:
    kept, at = _kept(request, venue), timezone.now()
    said = _said(request, kept, at)
    actions.say_of_spreadsheet(spreadsheet=kept, said=said, by=request.user, at=at)
    return redirect("spreadsheet", venue.slug)


@require_POST
@venue_page("change the register")
def read_in(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Exactly what was shown, or nothing; what was changed on the page since is shown first."""
    kept, at = _kept(request, venue), timezone.now()
    said = _said(request, kept, at)
    if queries.would_be_otherwise(kept, said, at):
        actions.say_of_spreadsheet(spreadsheet=kept, said=said, by=request.user, at=at)
        messages.warning(request, LOOK_FIRST)
        return redirect("spreadsheet", venue.slug)
    try:
        done = actions.import_spreadsheet(
            spreadsheet=kept, expected=request.POST.get("digest", "-"), by=request.user, at=at
        )
    except (RegisterHasFaults, RegisterMovedOn, actions.NothingToRead) as refusal:
        messages.error(request, str(refusal))
        return redirect("spreadsheet", venue.slug)
    messages.success(request, f"{outcome(done, done=True)} {' '.join(summary(done, done=True))}")
    return redirect("set_up" if venue.set_up_since else "equipment_list", venue.slug)


@require_POST
@venue_page("change the register")
def drop(request: SignedInRequest, venue: Venue) -> HttpResponse:
    kept = _kept(request, venue)
    actions.drop_spreadsheet(spreadsheet=kept, by=request.user, at=timezone.now())
    return redirect("spreadsheet", venue.slug)


def _kept(request: SignedInRequest, venue: Venue) -> Spreadsheet:
    rows = Spreadsheet.objects.visible_to(request.user).select_related("venue")
    return get_object_or_404(rows, venue=venue)


def _said(request: SignedInRequest, kept: Spreadsheet, at: datetime) -> Said:
    """What the form says of the file as it was shown."""
    _, before, understood = queries.understood_of(kept, at)
    return said_in(request.POST, understood, before)


def _send_page(request: SignedInRequest, venue: Venue, form: SpreadsheetForm) -> HttpResponse:
    status = 422 if form.errors else 200
    page = {"venue": venue, "form": form}
    return render(request, "venue/spreadsheet_send.html", page, status=status)


def _shown(request: SignedInRequest, venue: Venue, kept: Spreadsheet) -> HttpResponse:
    found = queries.seen(kept, timezone.now())
    label = queries.kind_or_part_label
    page = {
        "venue": venue, "kept": kept, "seen": found, "understood": found.understood,
        "doubtful": found.doubtful, "clear": found.clear[:SHOWN], "clear_count": len(found.clear),
        "summary": summary(found.comparison, done=False) if found.comparison else [],
        "digest": found.digest,
        "targets": queries.targets_offered(found.understood),
        "kinds": queries.kinds_offered(venue.dialect), "encodings": ENCODINGS.items(),
        "missing": [(label(one.kind, venue.dialect), one, one.field.unit(venue.unit_habit))
                    for one in found.understood.missing],
    }  # fmt: skip
    return render(request, "venue/spreadsheet.html", page)
