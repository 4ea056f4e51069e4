"""Text that a spreadsheet would take for a formula leaves with an apostrophe and comes back
without it. Pure, and exact both ways for every text."""

from __future__ import annotations

import re

EMPTY_WORD = "(none)"  # typed on purpose: what was known is to be emptied
NOT_KNOWN = "(not known)"  # typed on purpose: what is needed is missing, and that is said
EMPTIED = "\0"  # how that reads inside; no file can hold this character
# Also the full-width forms, which some spreadsheets read as their narrow ones.
_RISKY = re.compile(r"'*([=+\-@\t\r\n＝＋－＠]|\(none\)\Z)")


def guarded(text: str) -> str:
    """The text as it is written into a cell.

    >>> guarded("=1+1"), guarded("9.5 mm"), guarded("'=1"), guarded("'97 rebuild")
    ("'=1+1", '9.5 mm', "''=1", "'97 rebuild")
    """
    return f"'{text}" if _RISKY.match(text) else text


def unguarded(text: str) -> str:
    """The text a cell stands for; undoes `guarded` exactly.

    >>> unguarded("'=1+1"), unguarded("''=1"), unguarded("'97 rebuild"), unguarded("=1+1")
    ('=1+1', "'=1", "'97 rebuild", '=1+1')
    """
    if text == EMPTY_WORD:
        return EMPTIED
    return text[1:] if text.startswith("'") and _RISKY.match(text[1:]) else text
