"""What is typed into the search box, and how texts are compared: without case and accents. Pure."""

from __future__ import annotations

import unicodedata

LATIN = [chr(code) for code in range(0xC0, 0x250)]
LONGER = {
    "ß": "ss", "ẞ": "ss", "æ": "ae", "Æ": "ae", "œ": "oe", "Œ": "oe", "þ": "th", "Þ": "th",
}  # fmt: skip
BARRED = {"ø": "o", "ł": "l", "đ": "d", "ħ": "h", "ı": "i", "ð": "d"}
MOST_WORDS, LONGEST = 6, 80


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


def words_of(typed: str) -> list[str]:
    """The words to look for, each of which must be there; fewer than two signs find too much.

    >>> words_of("  Forestage LIFT "), words_of("a"), words_of("7")
    (['forestage', 'lift'], [], ['7'])
    """
    words = folded(unicodedata.normalize("NFC", typed[:LONGEST])).replace("\x00", "").split()
    words = words[:MOST_WORDS]
    return words if len("".join(words)) > 1 or "".join(words).isdigit() else []
