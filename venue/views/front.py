from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render

from venue.access import SignedInRequest
from venue.models import Venue


def home(request: SignedInRequest) -> HttpResponse:
    venues = list(Venue.objects.visible_to(request.user).order_by("name"))
    if len(venues) == 1:
        return redirect("overview", venues[0].slug)
    return render(request, "venue/home.html", {"venues": venues})


@login_not_required
def health(request: HttpRequest) -> JsonResponse:
    """For a monitor: the database answers. Says nothing about any venue."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return JsonResponse({"database": "answers"})
