"""The one-time code with which the first person comes in. Pure but for the dice."""

from __future__ import annotations

import hashlib
import hmac
import secrets

# Without letters and digits that are taken for one another. 16 of 31 signs: 79 bits.
SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ".replace("U", "")
LENGTH, GROUP = 16, 4


def new_code() -> str:
    """Four groups of four, as one types it from a terminal."""
    drawn = "".join(secrets.choice(SIGNS) for _ in range(LENGTH))
    return "-".join(drawn[start : start + GROUP] for start in range(0, LENGTH, GROUP))


def hash_of(code: str) -> str:
    """The same for the code however it was typed: small letters, spaces, no dashes.

    >>> hash_of("abcd efgh-jkmn 2345") == hash_of("ABCD-EFGH-JKMN-2345")
    True
    """
    bare = "".join(sign for sign in code.upper() if sign.isalnum())
    return hashlib.sha256(bare.encode()).hexdigest()


def is_code(typed: str, kept_hash: str) -> bool:
    """Compared in constant time, so that nothing is learned from how long a refusal takes."""
    return hmac.compare_digest(hash_of(typed), kept_hash)
