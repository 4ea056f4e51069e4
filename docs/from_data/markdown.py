"""Markdown from plain text: nothing in a data file can turn into markup by chance."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Protocol

MARKUP = re.compile(r"([\\`*_{}<>\[\]|])")
CAUTION = (
    "*A decision aid for competent people. The manufacturer's instructions, local codes and licensed "
    "or competent persons come first. When in doubt, take it out of service.*"
)


class Sourced(Protocol):
    """What kinds, regimes, rule sets and calculators name as a source."""

    @property
    def document(self) -> str: ...
    @property
    def edition(self) -> str: ...
    @property
    def clause(self) -> str: ...


def plain(text: object) -> str:
    """Text as it stands.

    >>> plain("a < b, see rail_or_opening")
    'a \\\\< b, see rail\\\\_or\\\\_opening'
    """
    return MARKUP.sub(r"\\\1", " ".join(str(text).split()))


def capital(text: object) -> str:
    said = str(text)
    return said[:1].upper() + said[1:]


def code(text: object) -> str:
    return f"`{text}`" if str(text) else ""


def table(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table of cells that are Markdown already; nothing where there is no row."""
    lines = [" | ".join(row) for row in rows]
    if not lines:
        return ""
    head = [" | ".join(headings), " | ".join("---" for _ in headings)]
    return "\n".join(f"| {line} |" for line in [*head, *lines]) + "\n"


def bullets(lines: Iterable[str]) -> str:
    return "\n".join(f"- {line}" for line in lines) + "\n"


def source_words(source: Sourced) -> str:
    """The document, its edition and its clause."""
    parts = (source.document, source.edition, source.clause)
    return plain(", ".join(part for part in parts if part))


def target(name: str) -> str:
    """A place that other pages lead to with `[words](#name)`."""
    return f"({name})="


def joined(parts: Iterable[str]) -> str:
    """Paragraphs, without the empty ones."""
    return "\n\n".join(part.strip("\n") for part in parts if part) + "\n"
