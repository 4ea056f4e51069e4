"""A server that answers 500 before it has done its work, or after."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from django.http import HttpRequest, HttpResponse

SWITCH = "TRIALS_STUMBLE"  # names a file that holds "", "before" or "after"


class StumblingMiddleware:
    """Only messages from phones stumble: signing in is not what is tried."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.switch = Path(os.environ[SWITCH])

    def __call__(self, request: HttpRequest) -> HttpResponse:
        when = self.switch.read_text() if request.method == "PUT" else ""
        if when == "before":
            return HttpResponse("stumbled", status=500)
        answer = self.get_response(request)
        return HttpResponse("stumbled", status=503) if when == "after" else answer
