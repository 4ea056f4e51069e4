from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import etag

from venue.access import SignedInRequest
from venue.front_files import FrontFile, front_files
from venue.languages import ENGLISH
from venue.models import Venue
from venue.queries.background import background_work
from venue.queries.log_checks import BROKEN, OLD, logs_hold


def home(request: SignedInRequest) -> HttpResponse:
    venues = list(Venue.objects.visible_to(request.user).order_by("name"))
    if len(venues) == 1:
        return redirect("overview", venues[0].slug)
    return render(request, "venue/home.html", {"venues": venues})


@login_not_required
def health(request: HttpRequest) -> JsonResponse:
    """For a monitor: the database answers, background work was seen not long ago, the logs hold. Says nothing
    about any venue. The status stays 200 while pages can be served: a restart of the web server
    would not bring the worker back."""
    now = timezone.now()
    work = background_work(now)
    seen = {"last_seen": work.last_seen, "seconds_ago": work.seconds_ago}
    verdict = "stands still" if work.stands_still else "goes on"
    log = logs_hold(now)
    ok = not work.stands_still and log not in (BROKEN, OLD)
    return JsonResponse(
        {"ok": ok, "database": "answers", "background_work": verdict, "log": log, **seen}
    )


def _language_asked(request: HttpRequest) -> str:
    """The address says it, never a cookie: one address has one text."""
    said = request.META.get("QUERY_STRING", "").partition("-")[0]
    return said if said in dict(settings.LANGUAGES) else ENGLISH


@login_not_required
@etag(lambda request: f'"{front_files(_language_asked(request))[0].digest}"')
def one_script(request: HttpRequest) -> HttpResponse:
    return _front_file(request, front_files(_language_asked(request))[0], "text/javascript")


@login_not_required
@etag(lambda request: f'"{front_files(_language_asked(request))[3].digest}"')
def desk_script(request: HttpRequest) -> HttpResponse:
    return _front_file(request, front_files(_language_asked(request))[3], "text/javascript")


@login_not_required
@etag(lambda request: f'"{front_files()[1].digest}"')
def one_style(request: HttpRequest) -> HttpResponse:
    return _front_file(request, front_files()[1], "text/css; charset=utf-8")


@login_not_required
@etag(lambda request: f'"{front_files()[2].digest}"')
def look_script(request: HttpRequest) -> HttpResponse:
    return _front_file(request, front_files()[2], "text/javascript")


def _front_file(request: HttpRequest, file: FrontFile, kind: str) -> HttpResponse:
    """Packed as well as the browser can read it. Under the address of its content it never grows
    old; a page of an earlier release gets the present one, and asks again the next time."""
    wanted = request.headers.get("Accept-Encoding", "")
    coding = next((name for name in file.packed if name in wanted), "")
    answer = HttpResponse(file.packed.get(coding, file.plain), content_type=kind)
    if coding:
        answer["Content-Encoding"] = coding
    mine = request.META.get("QUERY_STRING", "").endswith(file.digest)
    answer["Cache-Control"] = "public, max-age=31536000, immutable" if mine else "no-cache"
    patch_vary_headers(answer, ["Accept-Encoding"])
    return answer
