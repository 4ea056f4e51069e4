"""The texts of a script of ours put into another language when it is joined. Pure.

The sources hold their words in English, where they are read. A text, or a text in back quotes with
its places, that stands in the catalogue is replaced as a whole; whatever is not there is left to the
letter, as are the words that programs compare. So the script in English carries nothing for it, and
none asks for words at run time.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from venue.said import PLACE
from venue.script_tokens import Token, tokens

ESCAPES = {"\\": "\\\\", "`": "\\`", "${": "\\${", "\n": "\\n"}


@dataclass(frozen=True)
class Text:
    """A text of a script: where it stands, its words with {1} for each place, what is in the places."""

    start: int
    end: int
    words: str
    places: tuple[str, ...] = ()


def in_language(script: str, known: Mapping[str, str]) -> str:
    """The script with each text that is known said otherwise.

    >>> in_language("told(`${n} of ${all} pages`, 'Back');", {"{1} of {2} pages": "{1} von {2} Seiten"})
    "told(`${n} von ${all} Seiten`, 'Back');"
    """
    made, at = [], 0
    for text in texts_of(script):
        told = known.get(text.words) if text.start >= at else None  # else its whole was replaced
        if not told:
            continue
        inside = [in_language(place, known) for place in text.places]
        made += [script[at : text.start], _written(told, inside)]
        at = text.end
    return "".join([*made, script[at:]])


def _written(told: str, inside: list[str]) -> str:
    if not inside:
        return json.dumps(told, ensure_ascii=False)
    parts, at = [], 0
    for place in PLACE.finditer(told):
        parts += [_quoted(told[at : place.start()]), "${", inside[int(place[1]) - 1], "}"]
        at = place.end()
    return "`" + "".join([*parts, _quoted(told[at:])]) + "`"


def _quoted(words: str) -> str:
    for sign, escaped in ESCAPES.items():
        words = words.replace(sign, escaped)
    return words


def texts_of(script: str) -> Iterator[Text]:
    """Every text, the outer before those in its places."""
    placed = list(_placed(script))
    for number, (start, token) in enumerate(placed):
        if token.kind == "text":
            yield Text(start, start + len(token.text), _plain(token.text[1:-1]))
        elif token.kind == "piece" and token.text[0] == "`":
            yield _back_quoted(script, placed, number)


def _placed(script: str) -> Iterator[tuple[int, Token]]:
    at = 0
    for token in tokens(script):
        at = script.index(token.text, at)
        yield at, token
        at += len(token.text)


def _back_quoted(script: str, placed: list[tuple[int, Token]], number: int) -> Text:
    start, token = placed[number]
    words, places, depth, inside = token.text[1:], [], 0, 0
    if not token.text.endswith("${"):
        return Text(start, start + len(token.text), _plain(words[:-1]))
    words, inside = words[:-2], start + len(token.text)
    for at, each in placed[number + 1 :]:
        if each.kind != "piece":
            continue
        if each.text[0] == "`":
            depth += each.text.endswith("${")
        elif depth:
            depth -= not each.text.endswith("${")
        else:
            places.append(script[inside:at])
            words += f"{{{len(places)}}}"
            if not each.text.endswith("${"):
                return Text(
                    start, at + len(each.text), words + _plain(each.text[1:-1]), tuple(places)
                )
            words += _plain(each.text[1:-2])
            inside = at + len(each.text)
    raise ValueError("a text in back quotes has no end")


def _plain(words: str) -> str:
    return words.replace("\\n", "\n").replace('\\"', '"').replace("\\'", "'").replace("\\`", "`")
