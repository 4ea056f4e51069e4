"""Read one criterion of a rule-set file. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from rigging.engine.conditions import CONDITIONS
from rigging.engine.faults import RuleSetRefused, mapping, refuse_unknown, text
from rigging.engine.limits_of_rules import WIRES, LimitRule, Table
from rigging.engine.observation import ZONES, window_from
from rigging.engine.rope import CHOICES, FACT_WORDS, FaultyFact
from rigging.engine.rulesets import REFERENCES, UNVERIFIED, VERIFIED, Criterion
from rigging.engine.table_files import figure
from rigging.engine.verdicts import Outcome
from rigging.engine.wire_counts import Wanted

NOT_COMPUTED = "combined_severity"  # its limit can be written down, but only switched off
INDICATORS = (
    "broken_wires",
    "diameter_loss",
    "outer_wire_loss",
    "strength_loss",
    "condition",
    NOT_COMPUTED,
)
OUTCOMES = (Outcome.RETIRE, Outcome.OUT_OF_SERVICE, Outcome.RESTRICT, Outcome.WATCH)
KNOWN = (
    "slug", "words", "clause", "indicator", "comparator", "outcome", "verified", "action", "note",
    "off", "when", "window", "only", "without", "per_strand", "reference", "conditions", "limit",
    "only_if_measured",
)  # fmt: skip
# The dimension of a limit given as a number, by indicator.
RATIO_LIMITS = ("outer_wire_loss", "strength_loss", NOT_COMPUTED)


def read_criterion(name: str, row: Mapping[str, Any], tables: Mapping[str, Table]) -> Criterion:
    """A criterion, complete or refused."""
    slug = text(name, "a criterion", row, "slug")
    where = f"criterion {slug}"
    refuse_unknown(name, where, row, KNOWN)
    words, clause = text(name, where, row, "words"), text(name, where, row, "clause")
    indicator = one_of(name, where, row, "indicator", INDICATORS)
    present = indicator == "condition"
    if indicator == NOT_COMPUTED and not row.get("off"):
        raise RuleSetRefused(name, f"{where}: {NOT_COMPUTED} is not computed: it is switched off.")
    return Criterion(
        slug=slug, words=words, clause=clause, indicator=indicator,
        comparator="" if present else one_of(name, where, row, "comparator", (">", ">=")),
        outcome=Outcome(one_of(name, where, row, "outcome", OUTCOMES)),
        verified=_verified(name, where, row), action=str(row.get("action", "")),
        note=str(row.get("note", "")), off=str(row.get("off", "")),
        when=_when(name, where, row.get("when", {})),
        wanted=_wanted(name, where, row) if indicator == "broken_wires" else None,
        reference=_reference(name, where, row, indicator),
        conditions=_conditions(name, where, row) if present else (),
        limit=None if present else _limit(name, where, row, indicator, tables),
        only_if_measured=bool(row.get("only_if_measured", False)),
    )  # fmt: skip


def one_of(
    name: str, where: str, row: Mapping[str, Any], key: str, allowed: tuple[str, ...]
) -> str:
    value = text(name, where, row, key)
    if value not in allowed:
        raise RuleSetRefused(name, f"{where}: {key} is one of {', '.join(allowed)}.")
    return value


def _verified(name: str, where: str, row: Mapping[str, Any]) -> str:
    verified = one_of(name, where, row, "verified", VERIFIED)
    if verified in UNVERIFIED and not row.get("off"):
        raise RuleSetRefused(
            name, f"{where} is known only {verified}: it is switched off, with the reason in `off`."
        )
    return verified


def _when(name: str, where: str, said: Mapping[str, Any]) -> dict[str, tuple[object, ...]]:
    for fact, allowed in said.items():
        if fact not in FACT_WORDS or not isinstance(allowed, list) or not allowed:
            raise RuleSetRefused(name, f"{where}: when.{fact} is a fact of a rope with a list.")
        wrong = [value for value in allowed if value not in CHOICES.get(fact, (True, False))]
        if wrong and fact != "construction":
            raise RuleSetRefused(name, f"{where}: when.{fact} cannot be {wrong[0]!r}.")
    return {fact: tuple(allowed) for fact, allowed in said.items()}


def _wanted(name: str, where: str, row: Mapping[str, Any]) -> Wanted:
    try:
        window = window_from(row.get("window"), "window")
    except FaultyFact as fault:
        raise RuleSetRefused(name, f"{where}: {fault}") from fault
    only, without = tuple(row.get("only", ())), tuple(row.get("without", ()))
    for zone in (*only, *without):
        if zone not in ZONES:
            raise RuleSetRefused(name, f"{where}: {zone!r} is not one of {', '.join(ZONES)}.")
    return Wanted(window, only, without, bool(row.get("per_strand", False)))


def _reference(name: str, where: str, row: Mapping[str, Any], indicator: str) -> str:
    if indicator != "diameter_loss":
        return ""
    return one_of(name, where, row, "reference", tuple(REFERENCES))


def _conditions(name: str, where: str, row: Mapping[str, Any]) -> tuple[str, ...]:
    found = tuple(row.get("conditions", ()))
    if not found or not set(found) <= set(CONDITIONS):
        raise RuleSetRefused(name, f"{where}: conditions are some of {', '.join(CONDITIONS)}.")
    return found


def _limit(
    name: str, where: str, row: Mapping[str, Any], indicator: str, tables: Mapping[str, Table]
) -> LimitRule:
    said = mapping(name, where, row, "limit")
    known = ("number", "percent", "of", "table", "column", "unit", "times", "times_when")
    refuse_unknown(name, f"the limit of {where}", said, known)
    times = {
        "times": Fraction(said.get("times", 1)),
        "times_when": _when(name, where, said.get("times_when", {})),
    }
    if "number" in said:
        return _number(name, where, said, indicator, times)
    if "percent" in said:
        return _percent(name, where, said, times)
    return _from_table(name, where, said, indicator, tables, times)


def _number(
    name: str, where: str, said: Mapping[str, Any], indicator: str, times: dict[str, Any]
) -> LimitRule:
    typed = str(said["number"])
    counted = indicator == "broken_wires"
    dimension = "count" if counted else "ratio" if typed.endswith(("%", "x")) else "length"
    number = figure(name, where, said["number"], dimension)
    if number <= 0 or (indicator in RATIO_LIMITS and dimension != "ratio"):
        raise RuleSetRefused(name, f"{where}: the limit is a part (%), and more than zero.")
    unit = {"count": "1", "ratio": "%"}.get(dimension, typed.split()[-1])
    return LimitRule(typed, number=number, unit=unit, dimension=dimension, **times)


def _percent(name: str, where: str, said: Mapping[str, Any], times: dict[str, Any]) -> LimitRule:
    of = one_of(name, where, said, "of", tuple(WIRES))
    percent = figure(name, where, f"{said['percent']} %", "ratio") * 100
    if percent <= 0:
        raise RuleSetRefused(name, f"{where}: the percentage is more than zero.")
    return LimitRule(f"{said['percent']} % of the {WIRES[of]}", percent=percent, of=of, **times)


def _from_table(
    name: str, where: str, said: Mapping[str, Any], indicator: str, tables: Mapping[str, Table],
    times: dict[str, Any],
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
        dimension="length" if sized else "count", **times,
    )  # fmt: skip
