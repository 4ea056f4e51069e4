"""Refuse a printed table whose rows or cells cannot be as printed. Pure.

Rows follow each other and their cells do not fall. What a table says of its own arithmetic is
tried on every cell: `part_of_last` (a cell is that part of the row's last key, rounded half up),
`twice` (a cell is twice that of another column), `not_below` (a longer window or the lighter
duty never has the smaller number). A cell with two figures agrees when one of them does.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Any

from rigging.engine.faults import RuleSetRefused, mapping
from rigging.engine.printed_tables import Row, Table

CHECKS = ("part_of_last", "twice", "not_below")


def check_table(name: str, table: Table, said: Mapping[str, Any]) -> None:
    """Raise RuleSetRefused at the first row or cell that cannot be."""
    _check_order(name, table)
    for check, refuse in zip(CHECKS, (_check_parts, _check_twice, _check_not_below), strict=True):
        if check in said:
            columns = mapping(name, table.slug, said, check)
            unknown = {*columns, *_others(check, columns)} - table.rows[0].columns
            if unknown:
                raise RuleSetRefused(name, f"table {table.slug}: {check} names {min(unknown)}.")
            refuse(name, table, columns)


def _others(check: str, columns: Mapping[str, Any]) -> set[str]:
    return set() if check == "part_of_last" else {str(other) for other in columns.values()}


def _check_order(name: str, table: Table) -> None:
    for place, row in enumerate(table.rows, 1):
        start = row.first if row.first is not None else row.above
        if row.columns != table.rows[0].columns:
            raise RuleSetRefused(
                name, f"table {table.slug}, row {place}: other columns than row 1."
            )
        if start is not None and row.last is not None and start > row.last:
            raise RuleSetRefused(name, f"table {table.slug}, row {place}: first is after last.")
    for place, (upper, lower) in enumerate(pairwise(table.rows), 2):
        _check_next(name, table, place, upper, lower)


def _follows(table: Table, upper: Row, lower: Row) -> bool:
    """The next row begins after the last one ends; of counts, with the very next number."""
    if upper.last is None:
        return False
    if lower.above is not None:
        return lower.above >= upper.last
    if lower.first is None or lower.first <= upper.last:
        return False
    return table.key != "outer_load_bearing_wires" or lower.first == upper.last + 1


def _check_next(name: str, table: Table, place: int, upper: Row, lower: Row) -> None:
    if not _follows(table, upper, lower):
        raise RuleSetRefused(
            name, f"table {table.slug}, row {place}: it does not follow the row above."
        )
    for column, figures in lower.cells.items():
        if column in upper.cells and min(figures) < min(upper.cells[column]):
            raise RuleSetRefused(
                name, f"table {table.slug}, row {place}: {column} is less than in the row above."
            )


def _check_parts(name: str, table: Table, parts: Mapping[str, Any]) -> None:
    for column, part in parts.items():
        for place, row in enumerate(table.rows, 1):
            if row.last is None or column not in row.cells:
                continue
            wanted = _half_up(row.last * Fraction(part))
            if wanted not in row.cells[column]:
                _refuse(name, table, place, column, wanted)


def _check_twice(name: str, table: Table, pairs: Mapping[str, Any]) -> None:
    for column, single in pairs.items():
        for place, row in enumerate(table.rows, 1):
            if column not in row.cells or single not in row.cells:
                continue
            wanted = 2 * min(row.cells[single])
            if wanted not in row.cells[column]:
                _refuse(name, table, place, column, wanted)


def _check_not_below(name: str, table: Table, pairs: Mapping[str, Any]) -> None:
    for column, least in pairs.items():
        for place, row in enumerate(table.rows, 1):
            if column not in row.cells or least not in row.cells:
                continue
            if min(row.cells[column]) < min(row.cells[least]):
                raise RuleSetRefused(
                    name,
                    f"table {table.slug}, row {place}: {column} is less than {least}: a misprint?",
                )


def _refuse(name: str, table: Table, place: int, column: str, wanted: object) -> None:
    raise RuleSetRefused(
        name, f"table {table.slug}, row {place}: {column} should be {wanted}: a misprint?"
    )


def _half_up(value: Fraction) -> int:
    return int(value + Fraction(1, 2))
