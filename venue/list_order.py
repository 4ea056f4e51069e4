"""The order of a long list, and its address. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar
from urllib.parse import urlencode

Row = TypeVar("Row")
PAGE, PAST = "page", "past"
DIGITS = re.compile(r"(\d+)")


def address(known: Mapping[str, str], change: Mapping[str, str]) -> str:
    """The same page with something else asked for; without a page, since its rows are others.

    >>> address({"kind": "winch", "sort": "tag"}, {"sort": "-tag"})
    '?kind=winch&sort=-tag'
    >>> address({"kind": "winch"}, {"kind": ""})
    '?'
    """
    return "?" + urlencode({name: value for name, value in {**known, **change}.items() if value})


def natural(text: str) -> list[tuple[int, int, str]]:
    """As a person sorts tags: CW2 before CW10, whatever the case.

    >>> sorted(["CW10", "cw2", "CW1"], key=natural)
    ['CW1', 'cw2', 'CW10']
    """
    parts = DIGITS.split(text.casefold())
    return [(0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts if part]


def in_order(rows: Iterable[Row], order: Callable[[Row], Any], turned: bool) -> list[Row]:
    """What is not known comes last, whichever way it is turned."""
    known, unknown = [], []
    for row in rows:
        value = order(row)
        if value is None or value == "":
            unknown.append(row)
        else:
            known.append((natural(value) if isinstance(value, str) else value, row))
    known.sort(key=lambda pair: pair[0], reverse=turned)
    return [row for _, row in known] + unknown
