"""A script of ours without comments, without the spaces and line breaks that say nothing, without
the signs that say nothing, and with one word for what is made. Pure.

What stands in a text or in a regular expression stays to the letter; nothing is renamed and nothing
is reordered. A line break at which the language might end a statement by itself stays. What could be
read in two ways is refused.
"""

from __future__ import annotations

from venue.needed_signs import needed
from venue.script_tokens import SIGN, NotPlain, Token, tokens

# A statement cannot end after or before one of these, whatever stands on the other side.
OPEN = "; , ( [ { : ? . ?. => = += -= *= == === != !== < > <= >= && || ?? * % ! ... ??="
SHUT = ") ] } ; , . ?. ? : => = += -= *= == === != !== < > <= >= && || ?? *"
GOES_ON_AFTER, GOES_ON_BEFORE = (frozenset(each.split()) for each in (OPEN, SHUT))


def tight(text: str) -> str:
    """The tokens that say something, with as little between them as the language allows."""
    parts: list[str] = []
    before = Token("sign", ";")
    for token in needed(list(tokens(text))):
        parts += [_between(before, token) if parts else "", _said(token, before)]
        before = token
    made = "".join(parts) + "\n"
    if "<!--" in made or "-->" in made:
        raise NotPlain("a browser would take <!-- or --> for a comment")
    return made


def _said(token: Token, before: Token) -> str:
    """A constant as a variable: one word instead of two packs smaller, and what is never put anew
    is the same under both. That it is not, a test holds over the sources."""
    if (token.kind, token.text) != ("word", "const"):
        return token.text
    if before.text in (".", "?."):
        raise NotPlain("const as the name of a property")
    return "let"


def _between(one: Token, other: Token) -> str:
    if other.new_line and not (one.text in GOES_ON_AFTER or other.text in GOES_ON_BEFORE):
        # What ends or begins inside a text in back quotes is no end of a statement.
        inside = one.text.endswith("${") or (other.kind == "piece" and other.text[0] == "}")
        return "" if inside else "\n"
    if "/" in (one.text, other.text):
        return " "  # a division keeps its spaces: they tell it from a regular expression
    if other.is_worded and (one.is_worded or one.kind == "expression"):
        return " "
    if one.kind == "number" and other.text[0] == ".":
        return " "
    joined = one.kind == other.kind == "sign" and SIGN.match(one.text + other.text)
    return " " if joined and joined[0] != one.text else ""
