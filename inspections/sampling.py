"""Draw some of many at random, so that anybody can draw the same again. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256


def drawn(names: Iterable[str], seed: str, number: int) -> list[str]:
    """In the order of the SHA-256 of seed, colon and name: who knows the seed only afterwards cannot
    have chosen, and who names it beforehand cannot know what comes.

    >>> drawn(["1", "2", "3"], "a", 2)
    ['1', '3']
    """
    return sorted(names, key=lambda name: sha256(f"{seed}:{name}".encode()).hexdigest())[:number]
