from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import etag

from venue.access import SignedInRequest
from venue.front_files import (
    DESK,
    LOOKS,
    OF_PAGES,
    STYLE,
    WHOLE,
    FrontFile,
    front_files,
    read_codings,
)  # fmt: skip
from venue.languages import ENGLISH
from venue.models import Venue
from venue.queries.background import background_work
from venue.queries.log_checks import BROKEN, OLD, logs_hold

SCRIPT = "text/javascript"


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


def _file_of(name: str, request: HttpRequest) -> FrontFile:
    return front_files(_language_asked(request))[name]


def _tag_of(name: str) -> Callable[[HttpRequest], str]:
    return lambda request: _tag(request, _file_of(name, request))


def _tag(request: HttpRequest, file: FrontFile) -> str:
    """One for each coding: what a strong tag names is the same byte by byte (RFC 9110, 8.8.3)."""
    coding = _coding(request, file)
    return f'"{file.digest}-{coding}"' if coding else f'"{file.digest}"'


def _coding(request: HttpRequest, file: FrontFile) -> str:
    """The best that the browser can read; empty: as it is."""
    readable = read_codings(request.headers.get("Accept-Encoding", ""))
    return next((name for name in file.packed if name in readable), "")


@login_not_required
@etag(_tag_of(WHOLE))
def one_script(request: HttpRequest) -> HttpResponse:
    return _front_file(request, _file_of(WHOLE, request), SCRIPT)


@login_not_required
@etag(_tag_of(DESK))
def desk_script(request: HttpRequest) -> HttpResponse:
    return _front_file(request, _file_of(DESK, request), SCRIPT)


@login_not_required
def page_script(request: HttpRequest, script: str) -> HttpResponse:
    if script not in OF_PAGES:
        raise Http404("No page has such a script.")
    return etag(_tag_of(script))(lambda asked: _front_file(asked, _file_of(script, asked), SCRIPT))(
        request
    )


@login_not_required
@etag(_tag_of(STYLE))
def one_style(request: HttpRequest) -> HttpResponse:
    return _front_file(request, _file_of(STYLE, request), "text/css; charset=utf-8")


@login_not_required
@etag(_tag_of(LOOKS))
def look_script(request: HttpRequest) -> HttpResponse:
    return _front_file(request, _file_of(LOOKS, request), SCRIPT)


def _front_file(request: HttpRequest, file: FrontFile, kind: str) -> HttpResponse:
    """Packed as well as the browser can read it. Under the address of its content it never grows
    old; a page of an earlier release gets the present one, and asks again the next time."""
    coding = _coding(request, file)
    answer = HttpResponse(file.packed.get(coding, file.plain), content_type=kind)
    if coding:
        answer["Content-Encoding"] = coding
    mine = request.META.get("QUERY_STRING", "").endswith(file.digest)
    answer["Cache-Control"] = "public, max-age=31536000, immutable" if mine else "no-cache"
    patch_vary_headers(answer, ["Accept-Encoding"])
    return answer
