"""A script of ours read token by token. Pure.

What stands in a text, in a text within a text or in a regular expression is known from what stands
beside it. What could be read in two ways is refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass


class NotPlain(ValueError):
    """A script is written in a way that cannot be handled safely."""


SIGNS = (
    ">>>= ... === !== **= <<= >>= >>> &&= ||= ??= => == != <= >= && || ?? ?. ++ -- += -= *= /= %= &= "
    "|= ^= ** << >> { } ( ) [ ] ; , < > + - * / % & | ^ ! ~ ? : = . @"
)
NOTHING = re.compile(r"(?:[^\S\n]|//[^\n]*|/\*.*?\*/|\n)+", re.DOTALL)
WORD = re.compile(r"#?[\w$]+")
NUMBER = re.compile(r"(?:0[xXbBoO]\w+|(?:\d[\d_]*\.?[\d_]*|\.\d[\d_]*)(?:[eE][+-]?\d+)?n?)")
TEXT = re.compile(r"""'(?:[^'\\\n]|\\.)*'|"(?:[^"\\\n]|\\.)*\"""", re.DOTALL)
PIECE = re.compile(r"(?:[^`\\$]|\\.|\$(?!\{))*(?:`|\$\{)", re.DOTALL)
EXPRESSION = re.compile(r"/(?:[^/\\\[\n]|\\[^\n]|\[(?:[^\]\\\n]|\\[^\n])*\])+/[a-z]*")
# The longest first; a point before a digit is a number's.
SIGN = re.compile("|".join(map(re.escape, SIGNS.split())).replace(r"\?\.", r"\?\.(?!\d)"))

# A value may follow these words, so that a stroke after them begins a regular expression.
VALUE_WORDS = "return typeof case of in do else void delete instanceof new throw yield await"
BEFORE_A_VALUE = frozenset(VALUE_WORDS.split())


@dataclass(frozen=True)
class Token:
    kind: str  # word, number, text, piece (of a text in back quotes), expression, sign
    text: str
    new_line: bool = False  # whether it begins a line

    @property
    def is_worded(self) -> bool:
        return self.kind in ("word", "number")


def tokens(text: str) -> Iterator[Token]:
    place, before = 0, Token("sign", ";")
    inside: list[bool] = []  # for each curly bracket that is open: whether it is in a text
    while place < len(text):
        space = NOTHING.match(text, place)
        if space:
            place = space.end()
            if place == len(text):
                return
        new_line = bool(space and "\n" in space[0])
        token = _token(text, place, before, bool(inside and inside[-1]), new_line)
        if token.text[0] == "}" and token.kind in ("sign", "piece"):
            if not inside:
                raise NotPlain(f"a bracket too many: {_beside(text, place)}")
            inside.pop()
        if token.text == "{" or (token.kind == "piece" and token.text.endswith("${")):
            inside.append(token.text != "{")
        yield token
        place, before = place + len(token.text), token
    if inside:
        raise NotPlain("a bracket is left open")


def _token(text: str, place: int, before: Token, in_text: bool, new_line: bool) -> Token:
    """The one at this place: what it is depends on what stands before it."""
    first = text[place]
    if first == "`" or (first == "}" and in_text):
        return Token("piece", first + _found(PIECE, text, place + 1), new_line)
    if first in "'\"":
        return Token("text", _found(TEXT, text, place), new_line)
    if first.isdigit() or (first == "." and text[place + 1 : place + 2].isdigit()):
        return Token("number", _found(NUMBER, text, place), new_line)
    if word := WORD.match(text, place):
        return Token("word", word[0], new_line)
    if first == "/" and _value_may_follow(before):
        return Token("expression", _found(EXPRESSION, text, place), new_line)
    if first == "/" and (before.text == "}" or text[place + 1] not in " ="):
        raise NotPlain(f"a stroke that may be two things: {_beside(text, place)}")
    return Token("sign", _found(SIGN, text, place), new_line)


def _value_may_follow(token: Token) -> bool:
    if token.kind == "word":
        return token.text in BEFORE_A_VALUE
    if token.kind == "piece":
        return token.text.endswith("${")
    return token.kind == "sign" and token.text not in (")", "]", "}", "++", "--")


def _found(kind: re.Pattern[str], text: str, place: int) -> str:
    found = kind.match(text, place)
    if not found:
        raise NotPlain(f"not understood: {_beside(text, place)}")
    return found[0]


def _beside(text: str, place: int) -> str:
    return text[max(0, place - 20) : place + 20]
