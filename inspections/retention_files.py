"""Read the rules of retention from files. Pure.

A new jurisdiction is a new file. An unknown key, class or term, and an example that comes out
otherwise, are refused with the file's name and the fault.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from inspections.calendar_rules import UnreadableInterval, read_interval
from inspections.regime_shapes import LEVELS
from inspections.retention import (
    FOR_EVER,
    MISSING,
    Example,
    Facts,
    FaultyRetentionFile,
    RetentionRules,
    Rule,
    kept_until,
)

FOLDER = Path(__file__).parent / "retention_rules"
CLASSES = "classes.toml"
VERIFIED = {"document", "second-hand", "from memory", "common practice"}
FILE_KEYS = {"slug", "title", "supposes", "rule", "example"}
RULE_KEYS = {
    "id", "classes", "longest_of", "words", "document", "edition", "clause", "address", "verified",
    "only_first",
}  # fmt: skip
EXAMPLE_KEYS = {"source", "class", "made", "next", "use_ended", "first", "until"}


@dataclass(frozen=True)
class RecordClass:
    """Which records belong together: by how the regime's name begins, or by who must have signed."""

    slug: str
    title: str
    families: tuple[str, ...]
    levels: tuple[str, ...]

    def holds(self, regime: str, level: str) -> bool:
        if not (self.families or self.levels):
            return True
        return regime.startswith(self.families) or level in self.levels


@cache
def record_classes() -> tuple[RecordClass, ...]:
    return record_classes_in(FOLDER)


@cache
def retention_rules() -> dict[str, RetentionRules]:
    return retention_rules_in(FOLDER)


def class_of(regime: str, level: str) -> RecordClass:
    """The first that fits; the last takes whatever is left."""
    return next(each for each in record_classes() if each.holds(regime, level))


def record_classes_in(folder: Path) -> tuple[RecordClass, ...]:
    raw = tomllib.loads((folder / CLASSES).read_text(encoding="utf-8"))
    classes = tuple(
        RecordClass(
            each["slug"], each["title"], tuple(each.get("families", ())),
            tuple(each.get("levels", ())),
        )
        for each in raw["class"]
    )  # fmt: skip
    for each in classes:
        _known(each.levels, LEVELS, "level", CLASSES)
    if classes[-1].families or classes[-1].levels:
        raise FaultyRetentionFile(f"{CLASSES}: the last class must take whatever is left")
    return classes


def retention_rules_in(folder: Path) -> dict[str, RetentionRules]:
    classes = {each.slug for each in record_classes_in(folder)}
    found = {}
    for path in sorted(folder.glob("*.toml")):
        if path.name != CLASSES:
            rules = _read(path, classes)
            found[rules.slug] = rules
    return found


def _read(path: Path, classes: set[str]) -> RetentionRules:
    content = path.read_bytes()
    try:
        raw = tomllib.loads(content.decode())
        _known(raw, FILE_KEYS, "key", path.name)
        rules = tuple(_rule(each, classes, path.name) for each in raw["rule"])
        examples = tuple(_example(each, classes, path.name) for each in raw["example"])
        read = RetentionRules(
            raw["slug"], raw["title"], raw["supposes"], rules, examples,
            hashlib.sha256(content).hexdigest(),
        )  # fmt: skip
    except FaultyRetentionFile:
        raise
    except KeyError as fault:
        raise FaultyRetentionFile(f"{path.name}: {fault} is missing") from fault
    except (ValueError, TypeError, AttributeError) as fault:
        raise FaultyRetentionFile(f"{path.name}: {fault}") from fault
    for example in read.examples:
        kept = kept_until(example.facts, read.rules)
        if kept.until != example.until or (example.until is None) != kept.for_ever:
            raise FaultyRetentionFile(
                f"{path.name}: the example “{example.source}” gives {kept.until}, not {example.until}"
            )
    return read


def _rule(raw: dict[str, Any], classes: set[str], name: str) -> Rule:
    _known(raw, RULE_KEYS, "key", name)
    _known(raw["classes"], classes, "class", name)
    _known([raw["verified"]], VERIFIED, "backing", name)
    if not raw["longest_of"] or not raw["words"]:
        raise ValueError(f"{raw['id']} says no time")
    for term in raw["longest_of"]:
        _refuse_unreadable(term, raw["id"])
    if raw["verified"] in {"document", "second-hand"} and not (raw["document"] and raw["address"]):
        raise ValueError(f"{raw['id']} names no document")
    return Rule(**{**raw, "classes": tuple(raw["classes"]), "longest_of": tuple(raw["longest_of"])})


def _refuse_unreadable(term: str, rule: str) -> None:
    if term == FOR_EVER:
        return
    begins, _, interval = term.partition("+")
    if term in MISSING:
        return
    try:
        read_interval(interval if begins in MISSING else term)
    except UnreadableInterval as fault:
        raise ValueError(f"{rule}: {term!r} is no time") from fault


def _example(raw: dict[str, Any], classes: set[str], name: str) -> Example:
    _known(raw, EXAMPLE_KEYS, "key", name)
    _known([raw["class"]], classes, "class", name)
    days = [raw["made"], *(raw[key] for key in ("next", "use_ended") if key in raw)]
    if any(type(day) is not date for day in days):
        raise ValueError(f"the example “{raw['source']}” has a day that is none")
    facts = Facts(
        raw["class"], raw["made"], raw.get("next"), raw.get("use_ended"), bool(raw.get("first"))
    )
    until: date | None = None if raw["until"] == "for ever" else raw["until"]
    return Example(raw["source"], facts, until)


def _known(found: Iterable[str], known: Iterable[str], what: str, name: str) -> None:
    if unknown := sorted(set(found) - set(known)):
        raise FaultyRetentionFile(f"{name}: no such {what}: {', '.join(unknown)}")
