"""What is typed into the search box, and how texts are compared: without case and accents. Pure."""

from __future__ import annotations

import unicodedata

LATIN = [chr(code) for code in range(0xC0, 0x250)]
LONGER = {"ß": "ss", "æ": "ae", "œ": "oe", "þ": "th"}
BARRED = {"ø": "o", "ł": "l", "đ": "d", "ħ": "h", "ı": "i", "ð": "d"}
MOST_WORDS, LONGEST = 6, 80


def _bare(letter: str) -> str:
    """The letter of the alphabet under an accent; nothing: it has none, or is no such letter."""
    low = letter.lower()
    base = unicodedata.normalize("NFKD", low)[:1]
    return BARRED.get(low, base if base.isascii() and base.isalpha() else "")


# One letter for one: what both databases can do.
ACCENTS = {letter: bare for letter in LATIN if (bare := _bare(letter))}
_TABLE = str.maketrans(ACCENTS | LONGER)


def folded(text: str) -> str:
    """
    >>> folded("Überhang Øst, Stra\u00dfe, CAF\u00c9")
    'uberhang ost, strasse, cafe'
    """
    low = text.lower()
    return low if low.isascii() else low.translate(_TABLE)


def words_of(typed: str) -> list[str]:
    """The words to look for, each of which must be there; fewer than two signs find too much.

    >>> words_of("  Forestage LIFT "), words_of("a"), words_of("7")
    (['forestage', 'lift'], [], ['7'])
    """
    words = folded(unicodedata.normalize("NFC", typed[:LONGEST])).replace("\x00", "").split()
    words = words[:MOST_WORDS]
    return words if len("".join(words)) > 1 or "".join(words).isdigit() else []
