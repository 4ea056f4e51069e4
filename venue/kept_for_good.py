"""What a browser keeps for good is the same for everybody: our joined scripts and style, under the
address of their content. Left to the others of the list it would be asked for again with every new
session, because it would seem to depend on the cookies, and it would bring along half a kilobyte of
rules that a browser follows for pages only."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest
from django.http.response import HttpResponseBase

FOR_GOOD, FOR_ALL = "immutable", "public"
OF_PAGES = (
    "Content-Security-Policy", "Content-Language", "Cross-Origin-Opener-Policy", "X-Frame-Options",
)  # fmt: skip


class KeptForGood:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        kept = response.headers.get("Cache-Control", "")
        if FOR_GOOD in kept and FOR_ALL in kept and not response.cookies:
            response.headers["Vary"] = "Accept-Encoding"
            for name in OF_PAGES:
                response.headers.pop(name, None)
        return response
