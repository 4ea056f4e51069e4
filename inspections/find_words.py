"""What is typed into the search box. Pure."""

from __future__ import annotations

from venue.folding import typed as as_compared

MOST_WORDS, LONGEST = 6, 80


def words_of(typed: str) -> list[str]:
    """The words to look for, each of which must be there; fewer than two signs find too much.

    >>> words_of("  Forestage LIFT "), words_of("a"), words_of("7")
    (['forestage', 'lift'], [], ['7'])
    """
    words = as_compared(typed[:LONGEST]).replace("\x00", "").split()
    words = words[:MOST_WORDS]
    return words if len("".join(words)) > 1 or "".join(words).isdigit() else []


def may_be_tags(typed: str) -> list[str]:
    """What may be the whole tag of a piece, also one of a single letter.

    >>> may_be_tags("check W1"), may_be_tags(" A "), may_be_tags("")
    (['check', 'w1'], ['a'], [])
    """
    letter = as_compared(typed[:LONGEST]).replace("\x00", "").split()
    return words_of(typed) or letter
