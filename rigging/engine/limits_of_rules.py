"""The limit of a criterion for one rope: a number, a percentage of its wires, a table. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from rigging.engine.bounds import Limit
from rigging.engine.rope import FACT_WORDS, RopeFacts
from venue.quantities import Quantity, exact_text

WIRES = {
    "total_wires": "wires in the rope",
    "wires_per_strand": "wires in the strand",
    "outer_load_bearing_wires": "load-bearing wires in the outer strands",
}


@dataclass(frozen=True)
class Row:
    """One printed row: keys from `first` to `last`, both included; cells by column. A cell with
    two figures is one that two documents print differently."""

    first: Fraction | None
    last: Fraction
    cells: Mapping[str, tuple[Fraction, ...]]
    note: str = ""


@dataclass(frozen=True)
class Table:
    slug: str
    key: str  # a fact of the rope: outer_load_bearing_wires or nominal_diameter
    rows: tuple[Row, ...]

    def cell(self, rope: RopeFacts, column: str) -> Limit:
        """The limit for a rope; unknown where the fact or the row is missing: never extended."""
        fact = getattr(rope, self.key)
        if fact is None:
            return Limit(None, None, (FACT_WORDS[self.key],))
        key = fact.si if isinstance(fact, Quantity) else Fraction(fact)
        for row in self.rows:
            if (row.first is None or row.first <= key) and key <= row.last:
                figures = row.cells[column]
                return Limit(min(figures), max(figures), _which(figures))
        shown = fact.typed if isinstance(fact, Quantity) else fact
        return Limit(None, None, (f"a limit for {shown}: the printed table has no row for it",))


def _which(figures: tuple[Fraction, ...]) -> tuple[str, ...]:
    if len(set(figures)) == 1:
        return ()
    either = " or ".join(exact_text(figure) for figure in sorted(figures))
    return (f"whether the standard prints {either}: two documents quote it differently",)


@dataclass(frozen=True)
class LimitRule:
    """How a criterion gets its limit. Exactly one of number, percent or table is given."""

    text: str
    number: Fraction | None = None
    percent: Fraction | None = None
    of: str = ""
    table: Table | None = None
    column: str = ""
    unit: str = "1"  # for the eye; the figures are in SI
    times: Fraction = Fraction(1)
    times_when: Mapping[str, tuple[object, ...]] | None = None
    dimension: str = "count"

    def for_rope(self, rope: RopeFacts) -> Limit:
        """The limit in SI, exactly. An unknown fact never makes it larger."""
        if self.number is not None:
            found = Limit(self.number, self.number)
        elif self.percent is not None:
            found = self._part_of_wires(rope)
        else:
            assert self.table is not None  # the loader made sure
            found = self.table.cell(rope, self.column)
        factor = self.times if self._times_apply(rope) else Fraction(1)
        if found.low is None or found.high is None:
            return found
        return Limit(found.low * factor, found.high * factor, found.missing)

    def _part_of_wires(self, rope: RopeFacts) -> Limit:
        wires = getattr(rope, self.of)
        if wires is None:
            return Limit(None, None, (FACT_WORDS[self.of],))
        part = Fraction(wires) * self.percent / 100  # type: ignore[operator]
        return Limit(part, part)

    def _times_apply(self, rope: RopeFacts) -> bool:
        if not self.times_when:
            return False
        return all(getattr(rope, fact) in allowed for fact, allowed in self.times_when.items())
