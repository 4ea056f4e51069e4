"""The tokens of a script of ours without the signs that the language can do without. Pure.

Three go: the semicolon before a curly bracket that shuts, the comma before any bracket that shuts,
and the brackets around the one name that a function with an arrow takes. A statement that is nothing
but its semicolon would be lost with it, so it is refused.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from venue.script_tokens import NotPlain, Token

END = Token("sign", ";")
SHUTS = frozenset(")]}")
# After the bracket of one of these, or right after one of the others, comes a statement.
HEADS = frozenset(("if", "for", "while", "with"))
BARE_HEADS = frozenset(("else", "do"))


def needed(all_of_it: Sequence[Token]) -> Iterator[Token]:
    """
    >>> from venue.script_tokens import tokens
    >>> " ".join(each.text for each in needed(list(tokens("f(async (a) => { b(c,); });"))))
    'f ( async a => { b ( c ) } ) ;'
    """
    heads = _ends_of_heads(all_of_it)
    place = 0
    while place < len(all_of_it):
        token = all_of_it[place]
        if _is_one_name(all_of_it[place : place + 4]):
            yield replace(all_of_it[place + 1], new_line=token.new_line)
            place += 3
            continue
        if not _may_go(all_of_it, place, heads):
            yield token
        place += 1


def _is_one_name(four: Sequence[Token]) -> bool:
    signs = [token.text for token in four if token.kind == "sign"]
    return signs == ["(", ")", "=>"] and four[1].kind == "word"


def _may_go(all_of_it: Sequence[Token], place: int, heads: frozenset[int]) -> bool:
    token, after = all_of_it[place], (all_of_it[place + 1 :] or [END])[0]
    if token.kind != "sign" or after.kind != "sign":
        return False
    if token.text == ",":
        before = all_of_it[place - 1].text
        return after.text in SHUTS and before not in (",", "[")  # a hole in a list counts
    if token.text != ";" or after.text != "}":
        return False
    if place - 1 in heads or all_of_it[place - 1].text in BARE_HEADS:
        raise NotPlain("a statement that is nothing but its semicolon")
    return True


def _ends_of_heads(all_of_it: Sequence[Token]) -> frozenset[int]:
    """Where the brackets shut that stand between `if`, `for` or `while` and its statement."""
    ends, open_heads = set(), list[bool]()
    for place, token in enumerate(all_of_it):
        if token.kind != "sign":
            continue
        if token.text == "(":
            open_heads.append(place > 0 and all_of_it[place - 1].text in HEADS)
        elif token.text == ")" and open_heads and open_heads.pop():
            ends.add(place)
    return frozenset(ends)
