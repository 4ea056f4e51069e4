"""Whoever wants to sign in where nobody is yet is led to the set-up."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.shortcuts import redirect

from venue.queries.people import nobody_is_here


class NobodyYet:
    """Middleware: one question to the database, and only of the sign-in page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, named: Any
    ) -> HttpResponseRedirect | None:
        found = request.resolver_match
        if found and found.url_name == "account_login" and request.method == "GET":
            return redirect("first_person") if nobody_is_here() else None
        return None
