"""The register as a file: take it away, try one, apply it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from venue.access import SignedInRequest, venue_page
from venue.actions import import_register as actions
from venue.actions.tried_files import KeptFileGone, keep_for_later, kept_for_later
from venue.file_store import StoreFull
from venue.forms_register import RegisterFileForm, agreed_to, to_agree_to
from venue.models import Venue
from venue.queries.register import register_file, template_file
from venue.register.comparison import Comparison
from venue.register.grid import UnreadableFile
from venue.register.report import outcome, summary

TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
# A page of a hundred thousand lines helps nobody; the command prints them all.
SHOWN = 2_000


@require_GET
@venue_page("change the register")
def register(request: SignedInRequest, venue: Venue) -> HttpResponse:
    return _page(request, venue, RegisterFileForm())


@require_POST
@venue_page("change the register")
def register_try(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Say what the file would do. Nothing is changed; the file is kept for the confirmation."""
    form = RegisterFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, venue, form)
    upload = form.cleaned_data["file"]
    content = upload.read()
    try:
        comparison = actions.try_register(venue=venue, content=content, at=timezone.now())
        return _result(request, venue, comparison, content, upload.name)
    except (UnreadableFile, StoreFull) as fault:
        form.add_error("file", str(fault))
        return _page(request, venue, form)


@require_POST
@venue_page("change the register")
def register_apply(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """Apply the file that was tried: all of it, exactly as it was shown, or nothing."""
    agreed = agreed_to(request.POST.get("agreed", ""), venue=venue, person=request.user)
    if agreed is None:
        messages.error(request, "This confirmation is too old or not yours. Send the file again.")
        return redirect("register", venue.slug)
    try:
        content = kept_for_later(agreed.sha256)
        done = actions.import_register(
            venue=venue, content=content, file_name=agreed.file_name, by=request.user,
            at=timezone.now(), expected=agreed.digest,
        )  # fmt: skip
    except KeptFileGone as refusal:
        messages.error(request, str(refusal))
        return redirect("register", venue.slug)
    except (actions.RegisterMovedOn, actions.RegisterHasFaults) as refusal:
        messages.error(request, str(refusal))
        return _result(request, venue, refusal.comparison, content, agreed.file_name)
    messages.success(request, f"{outcome(done, done=True)} {' '.join(summary(done, done=True))}")
    return redirect("register", venue.slug)


@require_GET
@venue_page("change the register")
def register_export(request: SignedInRequest, venue: Venue) -> HttpResponse:
    file_type = request.GET.get("as", "csv")
    today = timezone.now().astimezone(venue.zone).date()
    name = f"register-{venue.slug}-{today}"
    return _download(name, file_type, register_file(venue, file_type, today))


@require_GET
@venue_page("change the register")
def register_template(request: SignedInRequest, venue: Venue) -> HttpResponse:
    file_type = request.GET.get("as", "csv")
    return _download("register-template", file_type, template_file(file_type))


def _page(request: SignedInRequest, venue: Venue, form: RegisterFileForm) -> HttpResponse:
    status = 422 if form.errors else 200
    page = {"venue": venue, "form": form}
    return render(request, "venue/register_file.html", page, status=status)


def _result(
    request: SignedInRequest, venue: Venue, comparison: Comparison, content: bytes, name: str
) -> HttpResponse:
    page: dict[str, Any] = {
        "venue": venue,
        "file_name": name,
        "comparison": comparison,
        "outcome": outcome(comparison, done=False),
        "summary": summary(comparison, done=False),
        "faults": comparison.faults[:SHOWN],
        "changes": comparison.changes[:SHOWN],
        "shown": SHOWN,
    }
    if comparison.changes and not comparison.faults:
        sha256 = keep_for_later(content=content, at=timezone.now())
        page["agreed"] = to_agree_to(
            venue=venue, person=request.user, sha256=sha256, file_name=name,
            digest=comparison.digest(),
        )  # fmt: skip
    status = 422 if comparison.faults else 200
    return render(request, "venue/register_result.html", page, status=status)


def _download(name: str, file_type: str, content: bytes | None) -> HttpResponse:
    if content is None:
        raise Http404("Register files are csv or xlsx.")
    response = HttpResponse(content, content_type=TYPES[file_type])
    response["Content-Disposition"] = f'attachment; filename="{name}.{file_type}"'
    response["X-Content-Type-Options"] = "nosniff"
    return response
