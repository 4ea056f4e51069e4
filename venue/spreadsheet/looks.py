"""What the cells of a column look like, whatever stands over it. Pure."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from venue.quantities import UnreadableQuantity, read_quantity
from venue.spreadsheet.days import read_day
from venue.spreadsheet.words import guess_kind, means

ENOUGH = 0.6  # of the filled cells; lists have slips in them
TAG = re.compile(r"[A-Za-z]{0,5}[ .#-]{0,2}\d{1,4}[A-Za-z]?")
MEASURED = ("length", "mass", "force", "speed")


@dataclass(frozen=True)
class Looks:
    """Parts of the filled cells, 0 to 1."""

    filled: int
    days: float = 0
    kinds: float = 0
    tags: float = 0
    numbers: float = 0
    dimension: str = ""  # of most of them, where they carry units
    all_differ: bool = False


def looks_of(cells: list[str], unit: str, today: date) -> Looks:
    """`unit` is the one in the heading, for bare numbers."""
    texts = [cell for cell in cells if not means(cell, "nothing")]
    if not texts:
        return Looks(0)
    return Looks(
        filled=len(texts),
        days=_part(texts, lambda text: _is_day(text, today)),
        kinds=_part(texts, lambda text: guess_kind(text) is not None),
        tags=_part(texts, lambda text: TAG.fullmatch(text) is not None),
        numbers=_part(texts, lambda text: text.replace(".", "", 1).replace(",", "", 1).isdigit()),
        dimension=_dimension(texts, unit),
        all_differ=len(set(texts)) == len(texts),
    )


def _part(texts: list[str], holds: Callable[[str], bool]) -> float:
    return sum(bool(holds(text)) for text in texts) / len(texts)


def _is_day(text: str, today: date) -> bool:
    read = read_day(text, "", today)
    return bool(read.day or read.either)


def _dimension(texts: list[str], unit: str) -> str:
    found: Counter[str] = Counter()
    for text in texts[:200]:
        for dimension in MEASURED:
            if _reads_as(with_unit(text, unit), dimension):
                found[dimension] += 1
    best = found.most_common(1)
    return best[0][0] if best and best[0][1] >= ENOUGH * min(len(texts), 200) else ""


def _reads_as(text: str, dimension: str) -> bool:
    try:
        read_quantity(text, dimension)
    except UnreadableQuantity:
        return False
    return True


def with_unit(text: str, unit: str) -> str:
    """A bare number with the unit of its heading.

    >>> with_unit("9.5", "m"), with_unit("9.5 ft", "m"), with_unit("9.5", "")
    ('9.5 m', '9.5 ft', '9.5')
    """
    bare = re.fullmatch(r"[\d.,/ ]+", text) is not None
    return f"{text} {unit}" if unit and bare else text
