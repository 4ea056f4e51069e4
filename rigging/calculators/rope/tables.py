"""The printed tables of the rope calculators: files beside this one, each row with its source. Pure.

A row is refused with file and line where its source is unknown, its figure cannot be read, or it
breaks the order of its table: a bigger rope that is weaker is a misprint, not a rope.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path

from rigging.calculators.contract import BACKINGS, Source
from venue.quantities import UnreadableQuantity, read_quantity

FOLDER = Path(__file__).parent / "tables"
# From this share on a strength disagrees with the square of the diameter: no rope of one class does.
OFF_THE_SQUARE = Fraction(15, 100)


class TableRefused(ValueError):
    """A table that cannot be trusted. The message names file, line and fault."""


@dataclass(frozen=True)
class Row:
    """One printed row: its texts by heading, and where it is printed."""

    table: str
    line: int
    texts: dict[str, str]
    source: Source

    def __getitem__(self, heading: str) -> str:
        return self.texts[heading]

    def quantity(self, heading: str, dimension: str, default_unit: str | None = None) -> Fraction:
        """The exact SI value printed under a heading."""
        try:
            return read_quantity(self.texts[heading], dimension, default_unit).si
        except UnreadableQuantity as fault:
            raise self.refused(f"{heading}: {fault}") from fault

    def number(self, heading: str) -> Fraction:
        return self.quantity(heading, "ratio", "x")

    def refused(self, fault: str) -> TableRefused:
        return TableRefused(f"{self.table}, line {self.line}: {fault}")


@cache
def sources() -> dict[str, Source]:
    """All sources of the tables, by their codes."""
    found: dict[str, Source] = {}
    for line, texts in _lines("sources"):
        source = Source(texts["document"], texts["edition"], texts["clause"], texts["backing"])
        if texts["code"] in found or source.backing not in BACKINGS:
            raise TableRefused(f"sources.csv, line {line}: {texts['code']}: {source.backing}")
        found[texts["code"]] = source
    return found


@cache
def rows(table: str) -> tuple[Row, ...]:
    """The rows of one table, in its order."""
    found = []
    for line, texts in _lines(table):
        source = sources().get(texts["source"])
        if source is None:
            raise TableRefused(f"{table}.csv, line {line}: no source “{texts['source']}”.")
        found.append(Row(f"{table}.csv", line, texts, source))
    return tuple(found)


def _lines(table: str) -> list[tuple[int, dict[str, str]]]:
    with (FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(enumerate(csv.DictReader(file), start=2))


@dataclass(frozen=True)
class RopeSize:
    """One size of a rope as printed: nominal diameter in m, strength in N, mass in kg/m or None."""

    size: str
    diameter: Fraction
    strength: Fraction
    mass: Fraction | None
    row: Row


@cache
def ropes() -> dict[str, tuple[RopeSize, ...]]:
    """The strength table: every rope with its sizes, rising."""
    return ropes_of(rows("strength"))


def ropes_of(printed: tuple[Row, ...]) -> dict[str, tuple[RopeSize, ...]]:
    """Ropes from printed rows. Raises TableRefused for a misprint: see `check_rising`, `_square`."""
    found: dict[str, list[RopeSize]] = {}
    for row in printed:
        mass = row.quantity("mass", "mass per length") if row["mass"] else None
        one = RopeSize(
            row["size"],
            row.quantity("size", "length"),
            row.quantity("strength", "force"),
            mass,
            row,
        )
        found.setdefault(row["rope"], []).append(one)
    for sizes in found.values():
        for below, one in pairwise(sizes):
            check_rising(one.row, "diameter", below.diameter, one.diameter)
            check_rising(one.row, "strength", below.strength, one.strength)
            _square(below, one)
    return {name: tuple(sizes) for name, sizes in found.items()}


def check_rising(row: Row, what: str, below: Fraction, value: Fraction) -> None:
    if value <= below:
        raise row.refused(f"the {what} does not rise from the row above.")


def _square(below: RopeSize, one: RopeSize) -> None:
    """From size to size the strength goes with the square of the diameter; a tiny rope has fewer
    sizes of wire to choose from, so only sizes from 4 mm on are held to it."""
    if below.diameter < Fraction(4, 1000):
        return
    expected = below.strength * (one.diameter / below.diameter) ** 2
    if abs(one.strength - expected) > OFF_THE_SQUARE * expected:
        raise one.row.refused("the strength does not go with the square of the diameter.")


def not_above(table: str, heading: str, value: Fraction) -> Row | None:
    """The printed row at or next below a value: no value between two rows is made up."""
    fitting = [row for row in rows(table) if row.number(heading) <= value]
    return max(fitting, key=lambda row: row.number(heading), default=None)


def slug_of(words: str) -> str:
    """Words of a table as the slug of a choice.

    >>> slug_of("7x19 metric, grade 2070")
    '7x19-metric-grade-2070'
    """
    return "-".join(re.findall(r"[a-z0-9]+", words.lower()))


def choices_of(table: str, slug: str = "slug", words: str = "words") -> tuple[tuple[str, str], ...]:
    return tuple((slug_of(row[slug]), row[words]) for row in rows(table))


def row_of(table: str, slug: str, heading: str = "slug") -> Row:
    """The row that a choice stands for."""
    return next(row for row in rows(table) if slug_of(row[heading]) == slug)
