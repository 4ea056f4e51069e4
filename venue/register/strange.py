"""Text that cannot be what a person meant. Pure."""

from __future__ import annotations

import re

# A letter of two bytes read as two characters: "é" became "Ã©".
_GARBLED = re.compile(
    "[\u00c2-\u00df][\u0080-\u00bf\u0152\u0153\u0160\u0161\u0178\u017d\u017e\u0192\u02c6\u02dc\u2010-\u203a\u20ac\u2122]"
)
_THEN = "Correct it, and save as CSV UTF-8"


def strange_text(text: str) -> str:
    """Why the text cannot be meant so, or nothing. Garbled accents are never kept in silence.

    >>> strange_text("CafÃ© bar")
    'looks garbled: “Ã©” often stands for “é”. Correct it, and save as CSV UTF-8'
    >>> strange_text("Café bar, 3 °")
    ''
    """
    if "\ufffd" in text:
        return "holds a character that was lost in an earlier conversion. Type it again"
    if any(ord(sign) < 32 and sign not in "\n\t" for sign in text):
        return "holds a control character that nobody can see. Type the cell again"
    for pair in _GARBLED.findall(text):
        meant = _meant(pair)
        if meant:
            return f"looks garbled: “{pair}” often stands for “{meant}”. {_THEN}"
    return ""


def _meant(pair: str) -> str:
    for encoding in ("cp1252", "latin-1"):
        try:
            return pair.encode(encoding).decode("utf-8")
        except UnicodeError:
            continue
    return ""
