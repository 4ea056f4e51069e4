"""What a value is compared with: a pair of low and high, or None where it is not known."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from typing import Any

from tests.second_engine.facts import all_allowed, is_seale
from tests.second_engine.losses import measured_loss
from tests.second_engine.quantities import ceiling, floor, read_quantity

Limit = tuple[Fraction, Fraction]


@lru_cache(maxsize=10_000)
def as_figure(written: Any) -> Fraction:
    """A plain number, or a quantity with its unit."""
    if isinstance(written, str) and " " in written:
        return read_quantity(written)
    return Fraction(str(written))


def is_length(criterion: dict[str, Any]) -> bool:
    """Whether the loss of diameter is compared as a length."""
    limit = criterion["limit"]
    return "unit" in limit or str(limit.get("number", "")).endswith((" in", " mm"))


def limit_of(
    criterion: dict[str, Any], rules: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]
) -> Limit | None:
    written = criterion["limit"]
    limit = plain_limit(written, rules, rope)
    if limit is None:
        return None
    limit = multiplied(limit, written, rope)
    return scaled(limit, written["scale"], seen) if "scale" in written else limit


def plain_limit(
    written: dict[str, Any], rules: dict[str, Any], rope: dict[str, Any]
) -> Limit | None:
    if "number" in written:
        return (as_figure(written["number"]),) * 2
    if "percent" in written:
        whole = rope.get(written["of"])
        return None if whole is None else (Fraction(written["percent"]) * whole / 100,) * 2
    if "bands" in written:
        return (as_figure(written["bands"][-1][0]),) * 2
    table = next(each for each in rules["table"] if each["slug"] == written["table"])
    return table_limit(table, written["column"], rope)


def table_limit(table: dict[str, Any], column: str, rope: dict[str, Any]) -> Limit | None:
    key = rope.get(table["key"])
    if key is None:
        return None
    figure = as_figure(key)
    place = next((at for at, row in enumerate(table["row"]) if holds(row, figure)), None)
    if place is None:
        return None
    proper = cell(table, place, column, figure)
    upper = cell(table, max(0, place - table.get("rows_back", 0)), column, figure)
    seale = is_seale(rope)
    if seale is None:
        return proper if upper == proper else (upper[0], proper[1])
    return upper if seale else proper


def holds(row: dict[str, Any], key: Fraction) -> bool:
    if "first" in row and key < as_figure(row["first"]):
        return False
    if "above" in row and key <= as_figure(row["above"]):
        return False
    return "last" not in row or key <= as_figure(row["last"])


def cell(table: dict[str, Any], place: int, column: str, key: Fraction) -> Limit:
    row = table["row"][place]
    if "parts" in row:
        exact = Fraction(row["parts"][column]) * key
        up = Fraction(ceiling(exact))
        return (Fraction(floor(exact)), up) if table.get("rounding") == "not settled" else (up, up)
    printed = row["cells"][column]
    figures = [as_figure(each) for each in (printed if isinstance(printed, list) else [printed])]
    return min(figures), max(figures)


def multiplied(limit: Limit, written: dict[str, Any], rope: dict[str, Any]) -> Limit:
    if "times" not in written:
        return limit
    factor = as_figure(written["times"])
    applies = all_allowed(rope, written.get("times_when", {}))
    low, high = limit
    if applies:
        return low * factor, high * factor
    if applies is None and factor < 1:
        return low * factor, high
    return limit


def scaled(limit: Limit, scale: dict[str, Any], seen: dict[str, Any]) -> Limit:
    (least, most), _ = measured_loss(scale["by"], seen)
    return limit[0] * factor_at(scale, most), limit[1] * factor_at(scale, least)


def factor_at(scale: dict[str, Any], loss: Fraction | None) -> Fraction:
    """Of the last step that begins at or below the loss; of the last where it is not known."""
    factor = Fraction(1)
    for begins, becomes in scale["steps"]:
        if loss is None or as_figure(begins) <= loss:
            factor = Fraction(becomes)
    return factor
