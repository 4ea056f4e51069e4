"""The log's arithmetic. Pure: no Django."""

from __future__ import annotations

import hashlib
from typing import Any

import rfc8785


def canonical(body: dict[str, Any]) -> str:
    """Canonical JSON by RFC 8785: one text for one meaning, so its hash can be checked anywhere.

    >>> canonical({"b": 1, "a": "x"})
    '{"a":"x","b":1}'
    """
    return rfc8785.dumps(body).decode()


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
