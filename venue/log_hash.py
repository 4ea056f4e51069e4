"""The log's arithmetic. Pure: no Django."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

import rfc8785

EXACT_WHOLE_NUMBERS = 2**53  # RFC 8785, 3.2.2.3: from here on a number may not be exact
# Where no broken number and no unusual name occurs, the C encoder writes the same text.
_QUICK = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"))
_ENDS = frozenset({str, bool, type(None)})


def canonical(body: Any) -> str:
    """Canonical JSON by RFC 8785: one text for one meaning, so its hash can be checked anywhere.

    >>> canonical({"b": 1, "a": "x"})
    '{"a":"x","b":1}'
    """
    if _is_plain(body):
        text = _QUICK.encode(body)
        text.encode()  # half a character has no canonical form; the other way refuses it too
        return text
    return rfc8785.dumps(body).decode()


def canonical_map(parts: Mapping[str, str]) -> str:
    """The canonical text of a map whose values are canonical texts already. Its names are words.

    >>> canonical_map({"b": "[1,2]", "a": canonical("x")})
    '{"a":"x","b":[1,2]}'
    """
    if not ("".join(parts).isascii() and all(map(str.isidentifier, parts))):
        raise ValueError(f"These names are not words: {', '.join(parts)}")
    return "{" + ",".join([f'"{name}":{parts[name]}' for name in sorted(parts)]) + "}"


def canonical_list(parts: Iterable[str]) -> str:
    """The canonical text of a list of canonical texts.

    >>> canonical_list(["1", canonical(["x"])])
    '[1,["x"]]'
    """
    return "[" + ",".join(parts) + "]"


def _is_plain(body: Any) -> bool:
    """Texts, whole numbers, yes and no, nothing, and lists and maps of these. Names of plain ASCII
    only: others are ordered by UTF-16 there, by code point here."""
    waiting: list[Any] = [[body]]
    while waiting:
        value = waiting.pop()
        kind = type(value)
        if kind is dict:
            if not _are_plain_names(tuple(value)):
                return False
            value = value.values()
        elif kind is int:
            if abs(value) >= EXACT_WHOLE_NUMBERS:
                return False
            continue
        elif kind is not list and kind is not tuple:
            return False
        # Most values are texts, seen to in one go; only the others are looked into.
        if not _ENDS.issuperset(map(type, value)):
            waiting += [each for each in value if type(each) not in _ENDS]
    return True


@lru_cache(maxsize=1024)  # the same few forms of map come again and again
def _are_plain_names(names: tuple[Any, ...]) -> bool:
    return all(type(name) is str and name.isascii() for name in names)


def sha256_of(text: str) -> str:
    """SHA-256 of the UTF-8 text, in hex.

    >>> sha256_of("")[:8]
    'e3b0c442'
    """
    return hashlib.sha256(text.encode()).hexdigest()
