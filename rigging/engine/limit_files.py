"""Read the limit of one criterion of a rule-set file. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Any

from rigging.engine.faults import RuleSetRefused, mapping, one_of, refuse_unknown, text
from rigging.engine.limits_of_rules import WIRES, LimitRule, Scale
from rigging.engine.losses import LOSS_WORDS
from rigging.engine.printed_tables import Table
from rigging.engine.table_files import figure
from rigging.engine.when_files import read_when

NOT_COUNTED = ("outer_wire_loss", "strength_loss", "combined_severity")
FORMS = ("number", "percent", "table", "bands")
KNOWN = (*FORMS, "of", "column", "unit", "times", "times_when", "scale")


def read_limit(
    name: str, where: str, row: Mapping[str, Any], indicator: str, tables: Mapping[str, Table]
) -> LimitRule:
    """The limit of a criterion, complete or refused."""
    said = mapping(name, where, row, "limit")
    refuse_unknown(name, f"the limit of {where}", said, KNOWN)
    if len([form for form in FORMS if form in said]) != 1:
        raise RuleSetRefused(
            name, f"{where}: the limit names no number, percentage or table column."
        )
    changed = _modifiers(name, where, said)
    if "number" in said:
        return _number(name, where, said, indicator, changed)
    if "bands" in said:
        return _bands(name, where, said, indicator, changed)
    if "percent" in said:
        return _percent(name, where, said, changed)
    return _from_table(name, where, said, indicator, tables, changed)


def _modifiers(name: str, where: str, said: Mapping[str, Any]) -> dict[str, Any]:
    times = Fraction(str(said.get("times", 1)))
    if times <= 0:
        raise RuleSetRefused(name, f"{where}: times is more than zero.")
    when = read_when(name, where, said.get("times_when", {}))
    return {"times": times, "times_when": when, "scale": _scale(name, where, said.get("scale"))}


def _scale(name: str, where: str, said: Mapping[str, Any] | None) -> Scale | None:
    """Steps of a loss with the factor from there on: losses rise, factors fall."""
    if said is None:
        return None
    refuse_unknown(name, f"the scale of {where}", said, ("by", "steps"))
    by = one_of(name, where, said, "by", tuple(LOSS_WORDS))
    steps = tuple(
        (figure(name, where, start, "ratio"), Fraction(str(factor)))
        for start, factor in said.get("steps", [])
    )
    falling = all(a[0] < b[0] and a[1] > b[1] for a, b in pairwise(steps))
    if not steps or not falling or not 0 < steps[-1][1] <= steps[0][1] <= 1:
        raise RuleSetRefused(
            name, f"{where}: the scale's losses rise and its factors fall below 1."
        )
    return Scale(by, steps)


def _number(
    name: str, where: str, said: Mapping[str, Any], indicator: str, changed: dict[str, Any]
) -> LimitRule:
    typed = str(said["number"])
    if indicator in ("broken_wires", "design_factor"):
        dimension, unit = "count", "1"
    elif typed.endswith(("%", "x")):
        dimension, unit = "ratio", "%"
    else:
        dimension, unit = "length", typed.split()[-1]
    number = _factor(name, where, typed) if indicator == "design_factor" else figure(
        name, where, said["number"], dimension
    )  # fmt: skip
    if number <= 0 or (indicator in NOT_COUNTED and dimension != "ratio"):
        raise RuleSetRefused(name, f"{where}: the limit is a part (%), and more than zero.")
    return LimitRule(typed, number=number, unit=unit, dimension=dimension, **changed)


def _factor(name: str, where: str, typed: str) -> Fraction:
    try:
        return Fraction(typed)
    except ValueError as fault:
        raise RuleSetRefused(name, f"{where}: {typed!r} is not a factor.") from fault


def _bands(
    name: str, where: str, said: Mapping[str, Any], indicator: str, changed: dict[str, Any]
) -> LimitRule:
    """Values from which on a severity holds; the last band is discard, 100 %."""
    if indicator not in ("diameter_loss", "outer_wire_loss", "strength_loss"):
        raise RuleSetRefused(name, f"{where}: bands grade a loss.")
    bands = tuple(
        (figure(name, where, start, "ratio"), Fraction(str(severity)) / 100)
        for start, severity in said["bands"]
    )
    if (
        not bands
        or bands[0][0] <= 0
        or any(a >= b for p in pairwise(bands) for a, b in zip(*p, strict=True))
    ):
        raise RuleSetRefused(name, f"{where}: the bands rise, and so do their severities.")
    start, severity = bands[-1]
    if severity != 1 or changed["scale"] or changed["times"] != 1:
        raise RuleSetRefused(name, f"{where}: the last band is 100, and bands stand alone.")
    typed = str(said["bands"][-1][0])
    return LimitRule(typed, number=start, unit="%", dimension="ratio", bands=bands, **changed)


def _percent(name: str, where: str, said: Mapping[str, Any], changed: dict[str, Any]) -> LimitRule:
    of = one_of(name, where, said, "of", tuple(WIRES))
    percent = figure(name, where, f"{said['percent']} %", "ratio") * 100
    if percent <= 0:
        raise RuleSetRefused(name, f"{where}: the percentage is more than zero.")
    return LimitRule(f"{said['percent']} % of the {WIRES[of]}", percent=percent, of=of, **changed)


def _from_table(
    name: str, where: str, said: Mapping[str, Any], indicator: str, tables: Mapping[str, Table],
    changed: dict[str, Any],
) -> LimitRule:  # fmt: skip
    table, column = tables.get(said.get("table", "")), said.get("column", "")
    if table is None or column not in table.rows[0].cells:
        raise RuleSetRefused(
            name, f"{where}: the limit names no number, percentage or table column."
        )
    sized = table.key == "nominal_diameter"
    unit = text(name, f"the limit of {where}", said, "unit") if sized else "1"
    if sized != (indicator == "diameter_loss"):
        raise RuleSetRefused(name, f"{where}: table {table.slug} does not hold this kind of limit.")
    return LimitRule(
        f"by table, column {column}", table=table, column=column, unit=unit,
        dimension="length" if sized else "count", **changed,
    )  # fmt: skip
