"""Pages a phone keeps: the same questions as online, with what it needs to judge by itself."""

from __future__ import annotations

from pathlib import Path

from csp.decorators import csp_update
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, render
from django.templatetags.static import static
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache

from inspections.models import Draft, Task
from inspections.phone_files import files_for_phone, release_of, worker_script
from inspections.queries.checks import sheet_of
from inspections.queries.kept_pages import (
    Moment,
    blank_draft,
    check_for_phone,
    round_for_phone,
    rules_for_phone,
)
from inspections.queries.push_devices import push_sender
from inspections.queries.state import orders_out
from inspections.queries.use_checks import blank_use_draft, use_checks_of
from inspections.views.day import local_day
from inspections.views.question_fields import with_fields
from inspections.views.sync import phone_page
from venue.access import SignedInRequest, venue_page
from venue.front_files import look_address, script_address, style_address
from venue.language_now import known_in
from venue.languages import ENGLISH
from venue.models import Equipment, Venue


@csp_update({"media-src": ["blob:"]})  # to listen before it is sent
@venue_page("carry out checks")
def kept_check(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """The check of a task as a phone keeps it. Looking at it begins nothing on the server."""
    rows = Task.objects.visible_to(request.user).select_related(
        "equipment__venue", "equipment__place", "plan__version"
    )
    task = get_object_or_404(rows, pk=pk, venue=venue)
    return _kept(request, venue, blank_draft(task, request.user, timezone.now()))


def _kept(request: SignedInRequest, venue: Venue, draft: Draft) -> HttpResponse:
    day = local_day(venue)
    sheet = sheet_of(draft, day)
    shown = {
        "venue": venue,
        "sheet": sheet,
        "questions": with_fields(sheet.asked, request.role),
        "orders_out": orders_out(draft.equipment, day),
        "task": draft.task,
        "kept": check_for_phone(sheet, request.user),
    }
    return render(request, "inspections/kept_check.html", shown)


@csp_update({"media-src": ["blob:"]})
@venue_page("carry out checks")
def kept_use(request: SignedInRequest, venue: Venue, pk: int, regime: str) -> HttpResponse:
    """A check before use or after an event, as a phone keeps it."""
    rows = Equipment.objects.visible_to(request.user).select_related("venue", "place")
    equipment = get_object_or_404(rows, pk=pk, venue=venue)
    wanted = next((each for each in use_checks_of(equipment) if each.slug == regime), None)
    if wanted is None:
        raise Http404("No such check is for this equipment.")
    now = timezone.now()
    return _kept(request, venue, blank_use_draft(equipment, wanted, request.user, now))


@phone_page("carry out checks")
def rules(request: SignedInRequest, venue: Venue) -> JsonResponse:
    return JsonResponse(rules_for_phone(venue, local_day(venue)))


@phone_page("carry out checks")
def pack(request: SignedInRequest, venue: Venue) -> JsonResponse:
    moment = Moment(timezone.now(), local_day(venue))
    return JsonResponse(round_for_phone(venue, request.user, moment))


@login_not_required
def manifest(request: HttpRequest) -> JsonResponse:
    """What makes the book an app on a phone's home screen."""
    icons = [
        {"src": static(f"img/icon-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png"}
        for size in (192, 512)
    ]
    told = {
        "name": "Loftbook", "short_name": "Loftbook", "start_url": "/", "scope": "/",
        "display": "standalone", "background_color": "#f4f0e7", "theme_color": "#f4f0e7",
        "icons": icons,
    }  # fmt: skip
    return JsonResponse(told, content_type="application/manifest+json")


@never_cache
@login_not_required
def worker(request: HttpRequest) -> HttpResponse:
    """The script that serves kept pages without signal. At the root, so that it may serve them."""
    root = Path(settings.BASE_DIR) / "static"
    files = [script_address(), style_address(), look_address(), *map(static, files_for_phone(root))]
    language = get_language() or ENGLISH
    release = release_of(settings.BASE_DIR, language)
    push = push_sender() is not None
    text = worker_script(release, files, root, known_in(language, "phone"), push=push)
    return HttpResponse(text, content_type="text/javascript")
