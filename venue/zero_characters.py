"""Text that came with the character zero in it: no keyboard makes it and PostgreSQL cannot keep it.

It is kept as the sign for an unreadable character, so that nothing else of the text is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, QueryDict
from django.http.response import HttpResponseBase

ZERO, UNREADABLE = "\x00", "\ufffd"


class ZeroCharacters:
    """Middleware, the last of all: views never meet the character."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, named: Any) -> None:
        if ZERO in request.path:
            raise Http404("No address holds the character zero.")
        request.GET = without_zeros(request.GET)  # type: ignore[assignment]
        if request.method == "POST":
            request.POST = without_zeros(request.POST)  # type: ignore[assignment]


def without_zeros(sent: QueryDict) -> QueryDict:
    """The same when it holds none, else a copy.

    >>> without_zeros(QueryDict("why=a%00b&n=1")).dict() == {"why": "a\ufffdb", "n": "1"}
    True
    """
    if not any(ZERO in text for name, texts in sent.lists() for text in (name, *texts)):
        return sent
    clean = QueryDict(mutable=True)
    for name, texts in sent.lists():
        kept = [text.replace(ZERO, UNREADABLE) for text in texts]
        clean.setlist(name.replace(ZERO, UNREADABLE), kept)
    clean._mutable = False
    return clean
