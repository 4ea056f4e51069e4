from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from venue.access import SignedInRequest
from venue.models import Venue
from venue.queries.background import background_work


def home(request: SignedInRequest) -> HttpResponse:
    venues = list(Venue.objects.visible_to(request.user).order_by("name"))
    if len(venues) == 1:
        return redirect("overview", venues[0].slug)
    return render(request, "venue/home.html", {"venues": venues})


@login_not_required
def health(request: HttpRequest) -> JsonResponse:
    """For a monitor: the database answers, and background work was seen not long ago. Says nothing
    about any venue. The status stays 200 while pages can be served: a restart of the web server
    would not bring the worker back."""
    work = background_work(timezone.now())
    seen = {"last_seen": work.last_seen, "seconds_ago": work.seconds_ago}
    verdict = "stands still" if work.stands_still else "goes on"
    return JsonResponse(
        {"ok": not work.stands_still, "database": "answers", "background_work": verdict, **seen}
    )
