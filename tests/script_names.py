"""Which names a script of ours makes itself, roughly: enough to see which it only happens to have."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from venue.one_file import IMPORT
from venue.script_tokens import Token, tokens

MAKES = ("const", "let", "class", "function", "catch")
ASKS = ("if", "for", "while", "switch")
PAIRS = {"{": "}", "[": "]", "(": ")"}


def had_by_chance(text: str, exported: set[str]) -> set[str]:
    """The names of other modules that it uses, and neither imports nor makes."""
    lines = [line.strip() for line in text.splitlines()]
    imports = [found for line in lines if (found := IMPORT.match(line))]
    taken = {each.strip() for found in imports for each in (found["names"] or "").split(",")}
    rest = "\n".join(line.removeprefix("export ") for line in lines if not IMPORT.match(line))
    placed = list(tokens(rest))
    end = Token("sign", ";")
    used = {
        token.text
        for before, token, after in zip([end, *placed], placed, [*placed[1:], end], strict=False)
        if token.kind == "word"
        and before.text not in (".", "?.")
        and not (after.text == ":" and before.text in ("{", ","))
    }
    return (used & exported) - taken - set(_made(placed))


def _made(placed: Sequence[Token]) -> Iterator[str]:
    """After a word that makes, in the list of a function, before an arrow."""
    for place, token in enumerate(placed):
        before = placed[place - 1].text if place else ";"
        after = placed[place + 1].text if place + 1 < len(placed) else ";"
        if token.kind == "word" and (before in MAKES or after == "=>"):
            yield token.text
        if token.text in PAIRS and before in MAKES:
            yield from _words(_within(placed, place))
        elif token.text == "(" and before not in ASKS:
            inside = _within(placed, place)
            end = place + len(inside) + 2
            if end < len(placed) and placed[end].text in ("=>", "{"):
                yield from _words(inside)


def _within(placed: Sequence[Token], start: int) -> Sequence[Token]:
    depth = 0
    for place in range(start, len(placed)):
        depth += (placed[place].text in PAIRS) - (placed[place].text in PAIRS.values())
        if not depth:
            return placed[start + 1 : place]
    return placed[start + 1 :]


def _words(inside: Sequence[Token]) -> Iterator[str]:
    return (token.text for token in inside if token.kind == "word")
