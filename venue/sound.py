"""Serve a sound so that a browser plays it: one range of bytes where it asks for one. Some phones
play nothing that cannot be asked for in ranges."""

from __future__ import annotations

import re
from pathlib import Path

from django.http import HttpRequest, HttpResponse

RANGE = re.compile(r"bytes=(\d*)-(\d*)")


def sound_response(request: HttpRequest, path: Path, media_type: str, name: str) -> HttpResponse:
    """Offered as a download under our own name, which a player does not mind."""
    content = path.read_bytes()  # a voice note has 5 MB at most
    asked = asked_range(request.headers.get("Range", ""), len(content))
    begin, end = asked or (0, len(content))
    response = HttpResponse(
        content[begin:end], content_type=media_type, status=206 if asked else 200
    )
    if asked:
        response.headers["Content-Range"] = f"bytes {begin}-{end - 1}/{len(content)}"
    response.headers["Accept-Ranges"] = "bytes"
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["X-Content-Type-Options"] = "nosniff"
    return response


def asked_range(text: str, size: int) -> tuple[int, int] | None:
    """The first byte and the one after the last; None where there is no such range.

    >>> asked_range("bytes=0-1", 10), asked_range("bytes=4-", 10), asked_range("bytes=-3", 10)
    ((0, 2), (4, 10), (7, 10))
    >>> asked_range("", 10), asked_range("bytes=20-", 10), asked_range("lines=1-2", 10)
    (None, None, None)
    """
    found = RANGE.fullmatch(text)
    if not found or not any(found.groups()):
        return None
    first, last = found.groups()
    begin = int(first) if first else max(0, size - int(last))
    end = min(size, int(last) + 1) if first and last else size
    return (begin, end) if begin < end else None
