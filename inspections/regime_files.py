"""Read regimes from their files, or from the text frozen with an old record. Pure.

A regime without a source, a check without one, an unknown dimension or a limit that does not
read in its dimension is refused with the file's name and the fault.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from inspections.calendar_rules import read_interval
from inspections.check_limits import with_known_limits
from inspections.regime_checks import SLUG, known, read_check, refuse
from inspections.regime_fit import fit_fault, serves
from inspections.regime_shapes import (
    COUNTINGS,
    LEVELS,
    OUTCOMES,
    TRIGGERS,
    Check,
    FaultyRegimeFile,
    Regime,
    Variant,
)  # fmt: skip
from venue.kind_files import Kind, PartKind, Source, kinds, part_kinds, read_source

__all__ = [
    "LEVELS", "OUTCOMES", "TRIGGERS", "Check", "FaultyRegimeFile", "Regime", "Source", "Variant",
    "parse_regime", "regimes", "regimes_for", "regimes_in", "with_known_limits",
]  # fmt: skip

FOLDER = Path(__file__).parent / "regimes"
LONGEST_TITLE = 200
KEYS = {
    "slug", "title", "families", "kinds", "variant", "level", "trigger", "interval",
    "interval_source", "counting", "early", "lawful_slack", "planned_before", "jurisdiction",
    "source", "check",
}  # fmt: skip


@cache
def regimes() -> dict[str, Regime]:
    """Every regime by its slug, from the files beside this module."""
    return regimes_in(FOLDER, kinds(), part_kinds())


def regimes_in(
    folder: Path, of_kinds: Mapping[str, Kind], parts: Mapping[str, PartKind]
) -> dict[str, Regime]:
    found = {}
    for path in sorted(folder.glob("*.toml")):
        regime = parse_regime(path.read_text(encoding="utf-8"), path.name)
        if regime.slug != path.stem:
            raise FaultyRegimeFile(f"{path.name}: the slug {regime.slug!r} is not the file's name")
        if fault := fit_fault(regime, of_kinds, parts):
            raise FaultyRegimeFile(f"{path.name}: {fault}")
        found[regime.slug] = regime
    return found


def regimes_for(kind: Kind, fields: Mapping[str, Any]) -> list[Regime]:
    """The regimes for equipment of a kind with these stored field values.

    Where the field that decides a variant is not known, every variant is offered: too many
    looks do less harm than too few.
    """
    return [regime for regime in regimes().values() if is_for(regime, kind, fields)]


def is_for(regime: Regime, kind: Kind, fields: Mapping[str, Any]) -> bool:
    return serves(regime, kind) and _meant(regime, fields)


def _meant(regime: Regime, fields: Mapping[str, Any]) -> bool:
    if regime.variant is None:
        return True
    value = fields.get(regime.variant.field)
    if value is None:
        return True
    text = {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
    return text in regime.variant.values


def parse_regime(text: str, name: str) -> Regime:
    """A regime from its text. `name` is the file's name, for the fault."""
    try:
        return _regime(tomllib.loads(text), text)
    except KeyError as fault:
        raise FaultyRegimeFile(f"{name}: {fault} is missing") from fault
    except (ValueError, TypeError, AttributeError) as fault:
        raise FaultyRegimeFile(f"{name}: {fault}") from fault


def _regime(raw: dict[str, Any], text: str) -> Regime:
    refuse(bool(set(raw) - KEYS), f"unknown key {', '.join(sorted(set(raw) - KEYS))}")
    sources = _sources(raw)
    checks = tuple(read_check(check, sources) for check in raw.get("check", []))
    _head_faults(raw, checks)
    when = _when(raw, sources)
    return Regime(
        slug=raw["slug"],
        title=raw["title"],
        families=tuple(raw.get("families", ())),
        kinds=tuple(raw.get("kinds", ())),
        variant=_variant(raw.get("variant")),
        level=raw["level"],
        trigger=raw["trigger"],
        jurisdiction=raw.get("jurisdiction", ""),
        sources=tuple(sources.values()),
        checks=checks,
        body=text,
        hash=hashlib.sha256(text.encode()).hexdigest(),
        **when,
    )


def _sources(raw: dict[str, Any]) -> dict[str, Source]:
    refuse(not raw.get("source"), "no source is named")
    sources = {}
    for given in raw["source"]:
        refuse(given["key"] in sources, f"source {given['key']!r} stands twice")
        plain = {name: value for name, value in given.items() if name != "key"}
        sources[given["key"]] = read_source(plain)
    return sources


def _head_faults(raw: dict[str, Any], checks: tuple[Check, ...]) -> None:
    refuse(SLUG.fullmatch(raw["slug"]) is None, "the slug is lower-case letters, digits and _")
    refuse(not 0 < len(raw["title"]) <= LONGEST_TITLE, "the title is one line")
    known(raw["level"], LEVELS, "level")
    known(raw["trigger"], TRIGGERS, "trigger")
    refuse(not (raw.get("families") or raw.get("kinds")), "it names no family and no kind")
    refuse(not checks, "it has no check")
    slugs = [check.slug for check in checks]
    twice = sorted({slug for slug in slugs if slugs.count(slug) > 1})
    refuse(bool(twice), f"check {', '.join(twice)} stands twice")


def _when(raw: dict[str, Any], sources: dict[str, Source]) -> dict[str, Any]:
    interval = raw.get("interval", "")
    refuse(bool(interval) != (raw["trigger"] == "calendar"), "an interval goes with the calendar")
    counting = raw.get("counting", COUNTINGS[0])
    known(counting, COUNTINGS, "counting")
    days = {name: raw.get(name, "P0D") for name in ("early", "lawful_slack", "planned_before")}
    for text in days.values():
        read_interval(text)
    source = None
    if interval:
        refuse(read_interval(interval).is_zero, "an interval of nothing never comes round")
        refuse(raw["interval_source"] not in sources, "interval_source is not in the file")
        source = sources[raw["interval_source"]]
        late = not read_interval(days["lawful_slack"]).is_zero
        refuse(late and source.verified != "common practice", _NO_SLACK)
    return {"interval": interval, "interval_source": source, "counting": counting, **days}


_NO_SLACK = "lawful_slack: an interval from a rule is a maximum; only a house habit may be late"


def _variant(raw: dict[str, Any] | None) -> Variant | None:
    return Variant(raw["field"], tuple(raw["is"])) if raw else None
