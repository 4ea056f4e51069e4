"""A text that must lie in the database for a while and must not be read there. Pure.

Fernet (AES-128-CBC with HMAC-SHA-256) under a key that is made from the server's secret.
"""

from __future__ import annotations

import base64
import hashlib

from cryptography.fernet import Fernet, InvalidToken


class CannotOpen(ValueError):
    """The server's secret is another one now."""


def seal_text(text: str, secret: str) -> str:
    """
    >>> open_text(seal_text("for one person", "s" * 50), "s" * 50)
    'for one person'
    """
    return _key(secret).encrypt(text.encode()).decode()


def open_text(sealed: str, secret: str) -> str:
    """Raises CannotOpen."""
    try:
        return _key(secret).decrypt(sealed.encode()).decode()
    except InvalidToken as fault:
        raise CannotOpen("The server's secret was changed since.") from fault


def _key(secret: str) -> Fernet:
    digest = hashlib.sha256(f"text of a mail that waits\0{secret}".encode()).digest()
    return Fernet(base64.urlsafe_b64encode(digest))
