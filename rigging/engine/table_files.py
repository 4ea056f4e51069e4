"""Read a printed table from a rule-set file and refuse misprints. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Any

from rigging.engine.faults import RuleSetRefused, each, mapping, refuse_unknown, text
from rigging.engine.limits_of_rules import Row, Table
from venue.quantities import UnreadableQuantity, read_quantity

KEYS = ("outer_load_bearing_wires", "nominal_diameter")


def read_table(name: str, row: Mapping[str, Any]) -> Table:
    """A table with its rows, checked: rows in order, cells that do not fall, and the arithmetic
    that the table itself obeys (`part_of_last`: a cell is that part of the row's last key,
    rounded; `twice`: a cell is twice the cell of another column)."""
    refuse_unknown(name, "a table", row, ("slug", "key", "row", "part_of_last", "twice"))
    slug, key = text(name, "a table", row, "slug"), text(name, "a table", row, "key")
    if key not in KEYS:
        raise RuleSetRefused(name, f"table {slug}: the key is one of {', '.join(KEYS)}.")
    rows = tuple(_row(name, slug, key, each_row) for each_row in each(name, row, "row"))
    table = Table(slug, key, rows)
    _check_order(name, table)
    if "part_of_last" in row:
        _check_parts(name, table, mapping(name, slug, row, "part_of_last"))
    if "twice" in row:
        _check_twice(name, table, mapping(name, slug, row, "twice"))
    return table


def _row(name: str, slug: str, key: str, row: Mapping[str, Any]) -> Row:
    dimension = "length" if key == "nominal_diameter" else "count"
    refuse_unknown(name, f"a row of table {slug}", row, ("first", "last", "cells", "note"))
    first = figure(name, slug, row["first"], dimension) if "first" in row else None
    if "last" not in row:
        raise RuleSetRefused(name, f"table {slug}: a row has no last.")
    cells = mapping(name, f"a row of table {slug}", row, "cells")
    read = {column: _cell(name, slug, value, dimension) for column, value in cells.items()}
    last = figure(name, slug, row["last"], dimension)
    return Row(first, last, read, str(row.get("note", "")))


def _cell(name: str, slug: str, value: object, dimension: str) -> tuple[Fraction, ...]:
    figures = value if isinstance(value, list) else [value]
    read = tuple(figure(name, slug, each_value, dimension) for each_value in figures)
    if not read or min(read) <= 0:
        raise RuleSetRefused(name, f"table {slug}: a cell is empty or not more than zero.")
    return read


def figure(name: str, where: str, value: object, dimension: str) -> Fraction:
    """A figure in SI. Text with a unit, or a whole number; never a binary float."""
    if isinstance(value, bool) or not isinstance(value, str | int):
        raise RuleSetRefused(name, f"{where}: {value!r} is not a whole number or a text.")
    try:
        return read_quantity(str(value), dimension).si
    except UnreadableQuantity as fault:
        raise RuleSetRefused(name, f"{where}: {fault}") from fault


def _check_order(name: str, table: Table) -> None:
    columns = set(table.rows[0].cells)
    for place, row in enumerate(table.rows, 1):
        if set(row.cells) != columns:
            raise RuleSetRefused(
                name, f"table {table.slug}, row {place}: other columns than row 1."
            )
        if row.first is not None and row.first > row.last:
            raise RuleSetRefused(name, f"table {table.slug}, row {place}: first is after last.")
    for place, (upper, lower) in enumerate(pairwise(table.rows), 2):
        _check_next(name, table, place, upper, lower)


def _check_next(name: str, table: Table, place: int, upper: Row, lower: Row) -> None:
    gap_free = table.key != "outer_load_bearing_wires" or lower.first == upper.last + 1
    if lower.first is None or lower.first <= upper.last or not gap_free:
        raise RuleSetRefused(
            name, f"table {table.slug}, row {place}: it does not follow the row above."
        )
    for column, figures in lower.cells.items():
        if min(figures) < min(upper.cells[column]):
            raise RuleSetRefused(
                name, f"table {table.slug}, row {place}: {column} is less than in the row above."
            )


def _check_parts(name: str, table: Table, parts: Mapping[str, Any]) -> None:
    for column, part in parts.items():
        for place, row in enumerate(table.rows, 1):
            wanted = _half_up(row.last * Fraction(part))
            if wanted not in row.cells[column]:
                raise RuleSetRefused(
                    name,
                    f"table {table.slug}, row {place}: {column} should be {wanted}: a misprint?",
                )


def _check_twice(name: str, table: Table, pairs: Mapping[str, Any]) -> None:
    for column, single in pairs.items():
        for place, row in enumerate(table.rows, 1):
            wanted = 2 * min(row.cells[single])
            if wanted not in row.cells[column]:
                raise RuleSetRefused(
                    name,
                    f"table {table.slug}, row {place}: {column} should be {wanted}: a misprint?",
                )


def _half_up(value: Fraction) -> int:
    return int(value + Fraction(1, 2))
