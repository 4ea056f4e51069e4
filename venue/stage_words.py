"""What an American stage says within a finished sentence, in the words of a British one. Pure.

A whole text is found in the catalogue. In a sentence only the names are looked for that our own data
give to checks, to what is accessible or made ready, and to bookings: a person who types "pit lift"
means what they type.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from venue.kind_shapes import ACCESS_WORDS

SHORTEST, SHORTEST_SMALL = 16, 25  # letters: what is shorter may be what somebody typed
OF_BOOKINGS = ("Load-in", "Load-out")
# How a sentence of the planner names a kind of booking: behind its title, or before a colon.
KIND = re.compile(r"\((Load-in|Load-out)\)|^(load-in|load-out)(?=: |$)")


class Within:
    """`told`: British texts by the American ones."""

    def __init__(self, told: Mapping[str, str]) -> None:
        self._told = {text: word for text, word in told.items() if _is_name(text)}
        self._told |= {
            _small(text): _small(word) for text, word in self._told.items() if _is_access(text)
        }
        self._kinds = {kind: told[kind] for kind in OF_BOOKINGS if kind in told}
        self._kinds |= {kind.lower(): word.lower() for kind, word in self._kinds.items()}
        longest_first = sorted(map(re.escape, self._told), key=len, reverse=True)
        self._names = re.compile(rf"(?<!\w)(?:{'|'.join(longest_first) or '(?!)'})(?!\w)")

    def __call__(self, words: str) -> str:
        """
        >>> within = Within({"Pit lift, monthly": "Orchestra lift, monthly", "Load-in": "Get-in"})
        >>> within("L2: Pit lift, monthly is late: Brass (Load-in), the pit lift sticks.")
        'L2: Orchestra lift, monthly is late: Brass (Get-in), the pit lift sticks.'
        """
        words = self._names.sub(lambda found: self._told[found[0]], words)
        return KIND.sub(self._kind, words)

    def _kind(self, found: re.Match[str]) -> str:
        behind, before = found.groups()
        return f"({self._kinds.get(behind, behind)})" if behind else self._kinds.get(before, before)


def _is_access(text: str) -> bool:
    return text in ACCESS_WORDS.values()


def _is_name(text: str) -> bool:
    """Of a check, whose name has a comma; of an access; of what is made ready, which begins small."""
    if len(text) < SHORTEST or re.search(r"[{}.?:=]", text):
        return False
    made_ready = text[0].islower() and len(text) >= SHORTEST_SMALL
    return ", " in text or _is_access(text) or made_ready


def _small(text: str) -> str:
    return text[0].lower() + text[1:]
