"""The printed tables of a rule set as they are read on a page."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from rigging.engine import RuleSet
from rigging.engine.figures import in_unit
from rigging.engine.printed_tables import Row, Table
from venue.quantities import exact_text

KEYS = {
    "outer_load_bearing_wires": "Load-bearing wires in the outer strands",
    "nominal_diameter": "Nominal diameter",
}


@dataclass(frozen=True)
class ShownTable:
    title: str
    key: str
    columns: list[str]
    rows: list[tuple[str, list[str]]]
    notes: list[str]


def shown_tables(rules: RuleSet) -> list[ShownTable]:
    """Every table of the rule set; lengths in the unit in which its criterion shows them."""
    units = {
        each.limit.table.slug: each.limit.unit
        for each in rules.criteria
        if each.limit and each.limit.table
    }
    return [_shown(table, units.get(slug, "1")) for slug, table in rules.tables.items()]


def _shown(table: Table, unit: str) -> ShownTable:
    columns = [*table.rows[0].cells, *(table.rows[0].parts or {})]
    rows = [
        (_key_words(row, unit), [_cell(row, column, unit) for column in columns])
        for row in table.rows
    ]
    notes = []
    if table.rows_back:
        notes.append(f"Seale strands of 19 wires are read {table.rows_back} rows further up.")
    if any(row.parts for row in table.rows):
        how = "it is rounded up" if table.rounding == "up" else "how it is rounded is not settled"
        notes.append(f"A percentage is of the wires; {how}.")
    titles = [column.replace("_", " ") for column in columns]
    return ShownTable(table.slug.replace("-", " "), KEYS[table.key], titles, rows, notes)


def _figure(value: Fraction, unit: str) -> str:
    return exact_text(in_unit(value, unit)) + ("" if unit == "1" else f" {unit}")


def _key_words(row: Row, unit: str) -> str:
    start = row.first if row.first is not None else row.above
    word = "from" if row.first is not None else "above"
    ends = [f"{word} {_figure(start, unit)}"] if start is not None else []
    return " ".join([*ends, *([f"to {_figure(row.last, unit)}"] if row.last is not None else [])])


def _cell(row: Row, column: str, unit: str) -> str:
    if column in row.cells:
        return " or ".join(_figure(each, unit) for each in row.cells[column])
    part = (row.parts or {})[column]
    return f"{exact_text(part * 100)} %"
