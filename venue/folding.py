"""How texts are compared by whoever looks for something: without case and accents. Pure."""

from __future__ import annotations

import unicodedata

LATIN = [chr(code) for code in range(0xC0, 0x250)]
LONGER = {
    "ß": "ss", "ẞ": "ss", "æ": "ae", "Æ": "ae", "œ": "oe", "Œ": "oe", "þ": "th", "Þ": "th",
}  # fmt: skip
BARRED = {"ø": "o", "ł": "l", "đ": "d", "ħ": "h", "ı": "i", "ð": "d"}


def _bare(letter: str) -> str:
    """The letter of the alphabet under an accent, else the small letter."""
    low = letter.lower()
    base = unicodedata.normalize("NFKD", low)[:1]
    return BARRED.get(low, base if base.isascii() and base.isalpha() else low[:1])


# One letter for one: what both databases can do, also one that knows no letters beyond ASCII.
ACCENTS = {
    letter: bare for letter in LATIN if letter not in LONGER and (bare := _bare(letter)) != letter
}
_TABLE = str.maketrans(ACCENTS | LONGER)


def folded(text: str) -> str:
    """
    >>> folded("Überhang Øst, Stra\u00dfe, CAF\u00c9")
    'uberhang ost, strasse, cafe'
    """
    return (text if text.isascii() else text.translate(_TABLE)).lower()


def typed(text: str) -> str:
    """As it is compared: letters with a separate accent are one, too.

    >>> typed("Stra\u00dfe O\u0308st")
    'strasse ost'
    """
    return folded(unicodedata.normalize("NFC", text))
