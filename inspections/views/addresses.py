"""Addresses that leave the screen: on labels, for the camera of a phone."""

from __future__ import annotations

from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest

ONLY_HERE = ("localhost", "127.0.0.1", "[::1]")


def address_for_phones(request: HttpRequest, path: str) -> str:
    """Of a page asked for at the very machine, the address that the house knows it by."""
    here = request.get_host().rpartition(":")[0] or request.get_host()
    if here in ONLY_HERE:
        return f"{settings.LOFTBOOK_ADDRESS}{path}"
    return request.build_absolute_uri(path)


def leads_only_here(address: str) -> bool:
    """Whether no other machine can open it."""
    return urlsplit(address).hostname in ("localhost", "127.0.0.1", "::1")
