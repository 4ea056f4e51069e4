"""A printed table of limits, and which of its cells holds for a rope. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from rigging.engine.bounds import Limit
from rigging.engine.rope import FACT_WORDS, RopeFacts
from venue.quantities import Quantity, exact_text

ROUNDINGS = ("up", "not settled")


@dataclass(frozen=True)
class Row:
    """One printed row: keys from `first` to `last`, both included, or from `above`, which is not;
    an open end is None. Cells by column. A cell with two figures is one that two documents print
    differently; a part is of the key itself, to be rounded to a whole number."""

    first: Fraction | None
    last: Fraction | None
    cells: Mapping[str, tuple[Fraction, ...]]
    note: str = ""
    above: Fraction | None = None
    parts: Mapping[str, Fraction] | None = None

    def holds(self, key: Fraction) -> bool:
        if self.first is not None and key < self.first:
            return False
        if self.above is not None and key <= self.above:
            return False
        return self.last is None or key <= self.last

    @property
    def columns(self) -> set[str]:
        return set(self.cells) | set(self.parts or {})


@dataclass(frozen=True)
class Table:
    slug: str
    key: str  # a fact of the rope: outer_load_bearing_wires or nominal_diameter
    rows: tuple[Row, ...]
    rounding: str = "up"  # of a part of the key
    rows_back: int = 0  # ropes with Seale strands are read so many rows further up

    def cell(self, rope: RopeFacts, column: str) -> Limit:
        """The limit for a rope; unknown where the fact or the row is missing: never extended."""
        fact = getattr(rope, self.key)
        if fact is None:
            return Limit(None, None, (FACT_WORDS[self.key],))
        key = fact.si if isinstance(fact, Quantity) else Fraction(fact)
        place = next((place for place, row in enumerate(self.rows) if row.holds(key)), None)
        if place is None:
            shown = fact.typed if isinstance(fact, Quantity) else fact
            return Limit(None, None, (f"a limit for {shown}: the printed table has no row for it",))
        here = self._read(place, column, key)
        back = self._read(max(0, place - self.rows_back), column, key)
        if not self.rows_back or rope.seale_strands is False or back == here:
            return here
        if rope.seale_strands:
            return back
        return Limit(back.low, here.high, (FACT_WORDS["seale"], *back.missing, *here.missing))

    def _read(self, place: int, column: str, key: Fraction) -> Limit:
        figures = self._figures(place, column, key)
        if len(set(figures)) == 1:
            return Limit(figures[0], figures[0])
        either = " or ".join(exact_text(figure) for figure in sorted(figures))
        words = f"whether the standard prints {either}: two documents quote it differently"
        if column not in self.rows[place].cells:
            words = f"whether the standard rounds to {either}: the documents do not settle it"
        return Limit(min(figures), max(figures), (words,))

    def _figures(self, place: int, column: str, key: Fraction) -> tuple[Fraction, ...]:
        row = self.rows[place]
        if column in row.cells:
            return row.cells[column]
        exact = (row.parts or {})[column] * key
        if self.rounding == "up":
            return (Fraction(ceil(exact)),)
        return (Fraction(floor(exact)), Fraction(ceil(exact)))
