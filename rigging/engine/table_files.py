"""Read a printed table from a rule-set file and refuse misprints. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from rigging.engine.faults import RuleSetRefused, each, mapping, one_of, refuse_unknown, text
from rigging.engine.printed_tables import ROUNDINGS, Row, Table
from rigging.engine.table_checks import CHECKS, check_table
from venue.quantities import UnreadableQuantity, read_quantity

KEYS = ("outer_load_bearing_wires", "nominal_diameter")


def read_table(name: str, row: Mapping[str, Any]) -> Table:
    """A table with its rows, checked: rows in order, cells that do not fall, and the arithmetic
    that the table itself obeys (`rigging.engine.table_checks`)."""
    refuse_unknown(name, "a table", row, ("slug", "key", "row", "rounding", "rows_back", *CHECKS))
    slug, key = text(name, "a table", row, "slug"), text(name, "a table", row, "key")
    if key not in KEYS:
        raise RuleSetRefused(name, f"table {slug}: the key is one of {', '.join(KEYS)}.")
    rounding = one_of(name, f"table {slug}", {"rounding": "up"} | dict(row), "rounding", ROUNDINGS)
    rows_back = row.get("rows_back", 0)
    if isinstance(rows_back, bool) or not isinstance(rows_back, int) or rows_back < 0:
        raise RuleSetRefused(name, f"table {slug}: rows_back is a whole number.")
    rows = tuple(_row(name, slug, key, each_row) for each_row in each(name, row, "row"))
    table = Table(slug, key, rows, rounding, rows_back)
    check_table(name, table, row)
    return table


def _row(name: str, slug: str, key: str, row: Mapping[str, Any]) -> Row:
    dimension = "length" if key == "nominal_diameter" else "count"
    known = ("first", "above", "last", "cells", "parts", "note")
    refuse_unknown(name, f"a row of table {slug}", row, known)
    first, above, last = (
        figure(name, slug, row[end], dimension) if end in row else None
        for end in ("first", "above", "last")
    )
    if (last is None and first is None and above is None) or (
        first is not None and above is not None
    ):
        raise RuleSetRefused(name, f"table {slug}: a row has no end, or begins twice.")
    cells = mapping(name, f"a row of table {slug}", {"cells": {}} | dict(row), "cells")
    read = {column: _cell(name, slug, value, dimension) for column, value in cells.items()}
    parts = {column: _part(name, slug, part) for column, part in row.get("parts", {}).items()}
    if (not read and not parts) or set(read) & set(parts) or (parts and dimension != "count"):
        raise RuleSetRefused(name, f"table {slug}: a row has no cells, or one of them twice.")
    return Row(first, last, read, str(row.get("note", "")), above, parts or None)


def _part(name: str, slug: str, part: object) -> Fraction:
    try:
        read = Fraction(str(part))
    except ValueError as fault:
        raise RuleSetRefused(name, f"table {slug}: {part!r} is not a part.") from fault
    if not 0 < read < 1:
        raise RuleSetRefused(name, f"table {slug}: a part is between zero and one.")
    return read


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
