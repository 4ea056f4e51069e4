"""Read one criterion of a rule-set file. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from rigging.engine.conditions import CONDITIONS
from rigging.engine.faults import RuleSetRefused, one_of, refuse_unknown, text
from rigging.engine.limit_files import read_limit
from rigging.engine.observation import ZONES, Window, window_from
from rigging.engine.printed_tables import Table
from rigging.engine.rope import FaultyFact
from rigging.engine.rulesets import REFERENCES, UNVERIFIED, VERIFIED, Criterion
from rigging.engine.verdicts import ASKS, USUALLY_ASKS, Outcome
from rigging.engine.when_files import read_when
from rigging.engine.wire_counts import Wanted

COMBINED = "combined_severity"
INDICATORS = (
    "broken_wires", "diameter_loss", "outer_wire_loss", "strength_loss", "design_factor",
    "condition", COMBINED,
)  # fmt: skip
OUTCOMES = (Outcome.RETIRE, Outcome.OUT_OF_SERVICE, Outcome.RESTRICT, Outcome.WATCH)
KNOWN = (
    "slug", "words", "clause", "indicator", "comparator", "outcome", "verified", "action", "note",
    "off", "when", "window", "only", "without", "per_strand", "adjacent", "reference",
    "conditions", "limit", "only_if_measured", "asks", "severity", "combines",
)  # fmt: skip


def read_criterion(name: str, row: Mapping[str, Any], tables: Mapping[str, Table]) -> Criterion:
    """A criterion, complete or refused."""
    slug = text(name, "a criterion", row, "slug")
    where = f"criterion {slug}"
    refuse_unknown(name, where, row, KNOWN)
    words, clause = text(name, where, row, "words"), text(name, where, row, "clause")
    indicator = one_of(name, where, row, "indicator", INDICATORS)
    present = indicator == "condition"
    outcome = Outcome(one_of(name, where, row, "outcome", OUTCOMES))
    return Criterion(
        slug=slug, words=words, clause=clause, indicator=indicator,
        comparator="" if present else _comparator(name, where, row, indicator),
        outcome=outcome, asks=_asks(name, where, row, outcome),
        verified=_verified(name, where, row), action=str(row.get("action", "")),
        note=str(row.get("note", "")), off=str(row.get("off", "")),
        when=read_when(name, where, row.get("when", {})),
        wanted=_wanted(name, where, row) if indicator == "broken_wires" else None,
        reference=_reference(name, where, row, indicator),
        conditions=_conditions(name, where, row) if present else (),
        limit=None if present else read_limit(name, where, row, indicator, tables),
        only_if_measured=bool(row.get("only_if_measured", False)),
        severity=_severity(name, where, row, present),
        combines=_combines(name, where, row, indicator),
        stretch=_window(name, where, row) if indicator == COMBINED else None,
    )  # fmt: skip


def _comparator(name: str, where: str, row: Mapping[str, Any], indicator: str) -> str:
    """A loss or a count is met by too much, a factor by too little."""
    allowed = ("<", "<=") if indicator == "design_factor" else (">", ">=")
    return one_of(name, where, row, "comparator", allowed)


def _asks(name: str, where: str, row: Mapping[str, Any], outcome: Outcome) -> str:
    return one_of(name, where, {"asks": USUALLY_ASKS[outcome]} | dict(row), "asks", ASKS)


def _severity(name: str, where: str, row: Mapping[str, Any], present: bool) -> Fraction | None:
    if "severity" not in row:
        return None
    per_cent = row["severity"]
    if (
        not present
        or isinstance(per_cent, bool)
        or not isinstance(per_cent, int)
        or not 0 <= per_cent <= 100
    ):
        raise RuleSetRefused(name, f"{where}: severity is a whole percentage of a condition.")
    return Fraction(per_cent, 100)


def _combines(name: str, where: str, row: Mapping[str, Any], indicator: str) -> tuple[str, ...]:
    found = tuple(row.get("combines", ()))
    if bool(found) != (indicator == COMBINED):
        raise RuleSetRefused(name, f"{where}: {COMBINED} names the criteria it combines.")
    return found


def _verified(name: str, where: str, row: Mapping[str, Any]) -> str:
    verified = one_of(name, where, row, "verified", VERIFIED)
    if verified in UNVERIFIED and not row.get("off"):
        raise RuleSetRefused(
            name, f"{where} is known only {verified}: it is switched off, with the reason in `off`."
        )
    return verified


def _wanted(name: str, where: str, row: Mapping[str, Any]) -> Wanted:
    window = _window(name, where, row)
    only, without = tuple(row.get("only", ())), tuple(row.get("without", ()))
    for zone in (*only, *without):
        if zone not in ZONES:
            raise RuleSetRefused(name, f"{where}: {zone!r} is not one of {', '.join(ZONES)}.")
    per_strand, adjacent = (bool(row.get(key, False)) for key in ("per_strand", "adjacent"))
    return Wanted(window, only, without, per_strand, adjacent)


def _window(name: str, where: str, row: Mapping[str, Any]) -> Window:
    try:
        return window_from(row.get("window"), "window")
    except FaultyFact as fault:
        raise RuleSetRefused(name, f"{where}: {fault}") from fault


def _reference(name: str, where: str, row: Mapping[str, Any], indicator: str) -> str:
    if indicator != "diameter_loss":
        return ""
    return one_of(name, where, row, "reference", tuple(REFERENCES))


def _conditions(name: str, where: str, row: Mapping[str, Any]) -> tuple[str, ...]:
    found = tuple(row.get("conditions", ()))
    if not found or not set(found) <= set(CONDITIONS):
        raise RuleSetRefused(name, f"{where}: conditions are some of {', '.join(CONDITIONS)}.")
    return found
