"""Whoever came by a link to the audit desk looks and asks, until the link ends, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth import logout
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone

from inspections.queries.desk_links import link_of_session

IN_SESSION = "desk_link"
LOOKS = ("GET", "HEAD", "OPTIONS")
# What whoever came by a link may send: a sample, a wish for a bundle, a question, and goodbye.
MAY_SEND = {"ask_question", "audit_sample", "evidence", "account_logout"}
# Of the pages that belong to no venue; the rest of them is for people with a password.
MAY_OPEN = {"home", "account_logout"}
ACCOUNT = ("account_", "mfa_")


class DeskSession:
    """Middleware, after the one that knows who is signed in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Any, args: Any, named: Any
    ) -> HttpResponseBase | None:
        name = str(request.resolver_match.url_name) if request.resolver_match else ""
        if not _knows_who(view, name):
            return None  # the same for everybody, and cached as such: it does not ask the session
        pk = request.session.get(IN_SESSION)
        if pk is None or not request.user.is_authenticated:
            return None
        link = link_of_session(pk, request.user)
        standing = link.standing(timezone.now()) if link else "revoked"
        if link is None or standing != "running":
            logout(request)
            known = {"link": link, "standing": standing}
            return render(request, "inspections/desk_door.html", known, status=403)
        request.desk_link = link  # type: ignore[attr-defined]
        if _may(request, view, name):
            return None
        return render(request, "inspections/desk_refusal.html", {"link": link}, status=403)


def _knows_who(view: Any, name: str) -> bool:
    return hasattr(view, "needs") or name == "home" or name.startswith(ACCOUNT)


def _may(request: HttpRequest, view: Any, name: str) -> bool:
    if request.method in LOOKS:
        return hasattr(view, "needs") or name in MAY_OPEN
    return name in MAY_SEND
