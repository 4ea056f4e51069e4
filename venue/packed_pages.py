"""Pages go over the line packed. What is a file of its own, such as a bundle, a report or a
photograph, goes as it is: it is packed already, and a browser may ask for a part of it.

A packed page must not tell by its length what it holds: an attacker who could choose some words of a
page and watch the line would guess the rest (the BREACH attack, 2013). Django adds up to a hundred
bytes at random to each, masks the token of every form anew, and our session is sent to no page that
another site asks for in the background. One that it opens before a person's eyes does carry it, so no
page that shows a lasting secret may repeat words of its address.
"""

from __future__ import annotations

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

PACKED = ("text/html", "application/json", "text/plain")


class PackedPages(GZipMiddleware):
    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        kind = response.headers.get("Content-Type", "").partition(";")[0]
        if response.streaming or kind not in PACKED:
            return response
        return super().process_response(request, response)
