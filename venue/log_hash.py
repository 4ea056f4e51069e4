"""The log's arithmetic. Pure: no Django."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import rfc8785

EXACT_WHOLE_NUMBERS = 2**53  # RFC 8785, 3.2.2.3: from here on a number may not be exact


def canonical(body: dict[str, Any]) -> str:
    """Canonical JSON by RFC 8785: one text for one meaning, so its hash can be checked anywhere.

    >>> canonical({"b": 1, "a": "x"})
    '{"a":"x","b":1}'
    """
    if _is_plain(body):
        # Where no broken number and no unusual name occurs, the C encoder writes the same text.
        text = json.dumps(body, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        text.encode()  # half a character has no canonical form; the other way refuses it too
        return text
    return rfc8785.dumps(body).decode()


def _is_plain(body: Any) -> bool:
    """Texts, whole numbers, yes and no, nothing, and lists and maps of these. Names of plain ASCII
    only: others are ordered by UTF-16 there, by code point here."""
    waiting = [body]
    while waiting:
        value = waiting.pop()
        kind = type(value)
        if kind is dict:
            if not all(type(name) is str and name.isascii() for name in value):
                return False
            waiting += value.values()
        elif kind is list or kind is tuple:
            waiting += value
        elif kind is int:
            if abs(value) >= EXACT_WHOLE_NUMBERS:
                return False
        elif value is not None and kind is not str and kind is not bool:
            return False
    return True


def sha256_of(text: str) -> str:
    """SHA-256 of the UTF-8 text, in hex.

    >>> sha256_of("")[:8]
    'e3b0c442'
    """
    return hashlib.sha256(text.encode()).hexdigest()


def line_hash(previous: str, body: str) -> str:
    """Hash of a log line: SHA-256 over the previous line's hash (hex), a newline, and the body.
    A stranger computes it with any SHA-256 tool.

    >>> line_hash("", "{}") == sha256_of("\\n{}")
    True
    """
    return sha256_of(f"{previous}\n{body}")
