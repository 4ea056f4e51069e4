"""Read rule sets from files and refuse whatever is incomplete, naming file and fault. Pure.

The same reading serves a house rule made on screen: `read_ruleset` takes the parsed content.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from rigging.engine.criterion_checks import check_criteria
from rigging.engine.criterion_files import read_criterion
from rigging.engine.faults import (
    RuleSetRefused,
    each,
    mapping,
    refuse_blanks,
    refuse_unknown,
    text,
)
from rigging.engine.known_misprints import refuse_known_misprints
from rigging.engine.rulesets import VERIFIED, Criterion, Example, RuleSet, Source
from rigging.engine.table_files import read_table

FOLDER = Path(__file__).parent.parent / "rulesets"
TEXTS = ("slug", "title", "edition", "status", "jurisdiction", "verified", "applies_to")
KNOWN = (*TEXTS, "caution", "incomplete", "source", "table", "criterion", "example")
EXPECTED = ("verdict", "state", "criterion", "value", "limit", "missing")


@cache
def load_rulesets(folder: Path = FOLDER) -> dict[str, RuleSet]:
    """Every rule set of a folder by its slug, in the order of their file names."""
    found: dict[str, RuleSet] = {}
    for path in sorted(folder.glob("*.toml")):
        ruleset = load_ruleset(path)
        if ruleset.slug != path.stem:
            raise RuleSetRefused(path.name, f"its slug {ruleset.slug!r} is not the file's name.")
        found[ruleset.slug] = ruleset
    return found


def load_ruleset(path: Path) -> RuleSet:
    """One rule set from one file."""
    try:
        parsed = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise RuleSetRefused(path.name, f"it is not readable TOML: {fault}") from fault
    return read_ruleset(parsed, path.name)


def read_ruleset(parsed: Mapping[str, Any], name: str) -> RuleSet:
    """A rule set from parsed content; `name` is what refusals call it."""
    refuse_blanks(name, parsed)
    refuse_unknown(name, "the rule set", parsed, KNOWN)
    texts = {key: text(name, "the rule set", parsed, key) for key in TEXTS}
    if texts["verified"] not in VERIFIED:
        raise RuleSetRefused(name, f"verified is one of {', '.join(VERIFIED)}.")
    tables = {row["slug"]: row for row in each(name, parsed, "table", least=0)}
    read_tables = {slug: read_table(name, row) for slug, row in tables.items()}
    criteria = tuple(
        read_criterion(name, row, read_tables) for row in each(name, parsed, "criterion")
    )
    _refuse_twice(name, [criterion.slug for criterion in criteria])
    examples = tuple(_example(name, row) for row in each(name, parsed, "example"))
    slugs = {criterion.slug for criterion in criteria}
    check_criteria(name, criteria)
    refuse_known_misprints(name, parsed)
    for example in examples:
        if example.expect.get("criterion", criteria[0].slug) not in slugs:
            raise RuleSetRefused(name, f"example “{example.name}” names no criterion of this file.")
    return RuleSet(
        **texts,
        caution=str(parsed.get("caution", "")),
        incomplete=_incomplete(name, parsed, criteria),
        sources=tuple(_source(name, row) for row in each(name, parsed, "source")),
        criteria=criteria, tables=read_tables, examples=examples, hash=content_hash(parsed),
    )  # fmt: skip


def content_hash(parsed: Mapping[str, Any]) -> str:
    """SHA-256 over the content, so that spacing and comments do not change it."""
    canonical = json.dumps(parsed, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(canonical.encode()).hexdigest()


def _refuse_twice(name: str, slugs: list[str]) -> None:
    for slug in slugs:
        if slugs.count(slug) > 1:
            raise RuleSetRefused(name, f"criterion {slug!r} is there twice.")


def _incomplete(name: str, parsed: Mapping[str, Any], criteria: tuple[Criterion, ...]) -> str:
    """A rule that looks at breaks but not at wear says so, or is refused."""
    said = str(parsed.get("incomplete", "")).strip()
    # One that is switched off keeps the rope undecided by itself, for as long as it is.
    indicators = {criterion.indicator for criterion in criteria}
    if not said and not ({"diameter_loss", "outer_wire_loss"} & indicators):
        raise RuleSetRefused(name, "it has no criterion for wear: say so in `incomplete`.")
    if not said and "broken_wires" not in indicators:
        raise RuleSetRefused(name, "it has no criterion for broken wires: say so in `incomplete`.")
    return said


def _source(name: str, row: Mapping[str, Any]) -> Source:
    keys = ("document", "edition", "clause", "backing")
    refuse_unknown(name, "a source", row, (*keys, "note"))
    said = {key: text(name, "a source", row, key) for key in keys}
    return Source(**said, note=str(row.get("note", "")))


def _example(name: str, row: Mapping[str, Any]) -> Example:
    keys = ("name", "kind", "source")
    refuse_unknown(name, "an example", row, (*keys, "rope", "observation", "expect"))
    expect = mapping(name, "an example", row, "expect")
    refuse_unknown(name, "an example's expect", expect, EXPECTED)
    if not {"verdict", "state"} & set(expect):
        raise RuleSetRefused(
            name, f"example “{row.get('name')}” expects neither verdict nor state."
        )
    return Example(
        **{key: text(name, "an example", row, key) for key in keys},
        rope=mapping(name, "an example", row, "rope"),
        observation=mapping(name, "an example", row, "observation"),
        expect={key: str(value) for key, value in expect.items()},
    )
