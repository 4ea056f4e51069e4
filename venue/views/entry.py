"""The page of a form whose fields are columns of the register."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render

from venue.access import SignedInRequest
from venue.forms_entry import EntryForm
from venue.models import Venue


def entry_page(
    request: SignedInRequest, venue: Venue, form: EntryForm, title: str, **more: Any
) -> HttpResponse:
    shown = {"venue": venue, "form": form, "title": title, **more}
    return render(request, "venue/entry.html", shown, status=422 if form.errors else 200)
