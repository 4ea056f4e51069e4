"""How the log refers to a name without holding it. Pure: no Django.

A reference is the word `person:` and the SHA-256, in hex, of the salt (32 hex characters), one space
and the name in UTF-8, with no line end. Without the salt nobody can try names until one fits, so a
reference whose name and salt are gone says nothing about who it was.
"""

from __future__ import annotations

import hashlib
import re
import secrets
from dataclasses import dataclass
from typing import Any

MARK = "person:"
REFERENCE = re.compile(MARK + r"[0-9a-f]{64}")
LENGTH = len(MARK) + 64
SALT_BYTES = 16  # 128 bits


@dataclass(frozen=True)
class TextAbout:
    """A text by which somebody may be known: an address, a certificate, a name as it was typed.
    `person` is whom it is about, where that is somebody with a role in the house."""

    said: str
    person: Any = None

    def __str__(self) -> str:
        return self.said


def new_salt() -> str:
    return secrets.token_hex(SALT_BYTES)


def reference_of(salt: str, said: str) -> str:
    """As `printf '%s %s' SALT 'NAME' | sha256sum` computes it.

    >>> reference_of("00" * 16, "Ada")[:15]
    'person:bd27da63'
    """
    return MARK + hashlib.sha256(f"{salt} {said}".encode()).hexdigest()


def references_in(text: str) -> set[str]:
    """
    >>> references_in("by person:" + "ab" * 32) == {"person:" + "ab" * 32}
    True
    """
    return set(REFERENCE.findall(text))
