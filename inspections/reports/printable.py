"""Which characters the bundled fonts can print. What they cannot is printed as its code.

The full text stays in record.json; the page must neither show an empty box nor hide that
something was typed there.
"""

from __future__ import annotations

import unicodedata
from dataclasses import fields, is_dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

Covered = frozenset[int]
Content = TypeVar("Content")


@lru_cache(maxsize=4)
def covered_by(folder: Path) -> Covered:
    """The code points that at least one font in the folder has a glyph for."""
    from fontTools.ttLib import TTFont

    found: set[int] = set()
    for path in sorted(folder.glob("*.ttf")):
        with TTFont(path, lazy=True) as font:
            found |= font["cmap"].getBestCmap().keys()
    if ord("A") not in found:
        raise FileNotFoundError(f"the fonts for reports are missing in {folder}")
    return frozenset(found)


def printable(text: str, covered: Covered) -> str:
    """The text as it will be printed: what no font has, and what only steers the direction or
    the joining of text, becomes its code.

    >>> printable("rope \\U0001F44D", frozenset(range(32, 127)))
    'rope [U+1F44D]'
    >>> printable("a\\u202eb", frozenset(range(0x3000)))
    'a[U+202E]b'
    """
    return "".join(sign if _prints(sign, covered) else f"[U+{ord(sign):04X}]" for sign in text)


def _prints(sign: str, covered: Covered) -> bool:
    if sign in "\n\t":
        return True
    # Categories C*: control, format, surrogate, private use, unassigned.
    return ord(sign) in covered and not unicodedata.category(sign).startswith("C")


def printed(content: Content, covered: Covered) -> Content:
    """The same content with every text made printable, all the way down."""
    return _printed(content, covered)


def _printed(value: Any, covered: Covered) -> Any:
    if isinstance(value, str):
        return printable(value.replace("\r\n", "\n"), covered)
    if isinstance(value, tuple):
        return tuple(_printed(item, covered) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        return replace(
            value,
            **{each.name: _printed(getattr(value, each.name), covered) for each in fields(value)},
        )
    return value
