"""The words of `words.toml`, and how a cell's words are held against them. Pure."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from venue.kind_files import kinds

FILE = Path(__file__).with_name("words.toml")
UNIT_IN_HEADING = re.compile(r"[\[(/]\s*([^\])]{1,8}?)\s*[\])]?\s*$")


class FaultyWords(ValueError):
    """The file of words names what does not exist, or one word twice."""


@dataclass(frozen=True)
class KindGuess:
    """The kind that words stand for; not sure where they may stand for another, too."""

    slug: str
    sure: bool
    words: str = field(default="", compare=False)  # those that were found


@cache
def _raw() -> dict[str, Any]:
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


def plain(text: str) -> str:
    """Small letters, no accents, single spaces, nothing but letters and digits.

    >>> plain("  Tag-No. "), plain("Größe (m)"), plain("S/N")
    ('tag no', 'grosse m', 's n')
    """
    bare = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(sign if sign.isalnum() else " " for sign in bare if not _is_accent(sign))
    return " ".join(kept.split())


def _is_accent(sign: str) -> bool:
    return unicodedata.category(sign) == "Mn"


@cache
def column_words() -> dict[str, str]:
    """Plain words over a column -> what the column is for."""
    found: dict[str, str] = {}
    for target, words in _raw()["column"].items():
        for word in words:
            if found.setdefault(plain(word), target) != target:
                raise FaultyWords(f"{FILE.name}: “{word}” stands for two columns")
    return found


@cache
def kind_guesses() -> dict[str, KindGuess]:
    """Plain words of a kind, its labels in both dialects among them, the longest first."""
    found: dict[str, KindGuess] = {}
    for one in _raw()["kind"]:
        if one["slug"] not in kinds():
            raise FaultyWords(f"{FILE.name}: no kind {one['slug']}")
        labels = [*kinds()[one["slug"]].labels.values(), one["slug"]]
        for word in [*one["words"], *labels]:
            _put(found, word, True, one["slug"])
        for word in one.get("unsure", []):
            _put(found, word, False, one["slug"])
    return dict(sorted(found.items(), key=lambda pair: -len(pair[0])))


def _put(found: dict[str, KindGuess], word: str, sure: bool, slug: str) -> None:
    if found.setdefault(plain(word), KindGuess(slug, sure, word.lower())).slug != slug:
        raise FaultyWords(f"{FILE.name}: “{word}” stands for two kinds")


@cache
def tag_letters() -> dict[str, str]:
    return {one["slug"]: one["tag"] for one in _raw()["kind"]}


def guess_kind(text: str) -> KindGuess | None:
    """By the longest words of a kind that stand in the text as whole words; an s at the end of a
    word is none.

    >>> guess_kind("Chain hoists (FOH)").slug, guess_kind("CW set").sure, guess_kind("Piano")
    ('chain_hoist', False, None)
    """
    words = f" {plain(text)} "
    singular = " ".join(word.removesuffix("s") for word in words.split())
    for known, guess in kind_guesses().items():
        if f" {known} " in words or f" {known} " in f" {singular} ":
            return guess
    return None


def means(text: str, what: str) -> bool:
    """Whether a whole cell is one of the words for yes, no, nothing, a total and so on.

    >>> means("N/A", "nothing"), means("Grand Total:", "total"), means("Y", "yes")
    (True, True, True)
    """
    words = _raw()["word"][what]
    return text.strip().casefold() in words or (bool(plain(text)) and plain(text) in words)


def has_word(text: str, what: str) -> bool:
    """Whether one of the words, or some in a row, stands anywhere in the text.

    >>> has_word("Nächste Prüfung", "next"), has_word("To be seen on", "next"), has_word("Text", "next")
    (True, True, False)
    """
    whole = f" {plain(text)} "
    return any(f" {plain(word)} " in whole for word in _raw()["word"][what])


def standing_of(text: str) -> str:
    """installed, stored or gone; nothing where the word is none of these."""
    return next((one for one in ("stored", "gone", "installed") if means(text, one)), "")


def unit_in(heading: str) -> str:
    """The unit that a heading names for its whole column.

    >>> unit_in("Travel (m)"), unit_in("SWL [kg]"), unit_in("Length / ft"), unit_in("Remarks")
    ('m', 'kg', 'ft', '')
    """
    if found := UNIT_IN_HEADING.search(heading):
        return found.group(1).strip()
    last = heading.split()[-1:] if len(heading.split()) > 1 else []
    return last[0] if last and last[0] in ("m", "mm", "cm", "ft", "in", "kg", "lb", "lbs") else ""
