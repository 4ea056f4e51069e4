"""The closed lists and the rule sets in the shape a phone judges by. Pure.

`python -m rigging.engine.phone_lists` writes static/js/judge/lists.js anew; a test compares the
two, so that a phone names a unit, a fact or a condition as the server does.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import Any

from rigging.engine.conditions import CONDITIONS, FINER, OTHER_NAMES
from rigging.engine.losses import LOSS_WORDS
from rigging.engine.rope import CHOICES, FACT_WORDS
from rigging.engine.rulesets import RuleSet
from rigging.engine.verdicts import STATES, caution_of
from rigging.engine.wire_counts import ZONE_WORDS
from venue.quantities import Quantity
from venue.quantity_units import UNITS, Unit

HEAD = "// Made by `python -m rigging.engine.phone_lists`: change the lists there, not here.\n"
MODULE = Path(__file__).resolve().parents[2] / "static" / "js" / "judge" / "lists.js"
LISTS: Mapping[str, object] = {
    "STATES": STATES, "CHOICES": CHOICES, "FACT_WORDS": FACT_WORDS, "ZONE_WORDS": ZONE_WORDS,
    "LOSS_WORDS": LOSS_WORDS, "CONDITIONS": CONDITIONS, "FINER": FINER,
    "OTHER_NAMES": OTHER_NAMES,
}  # fmt: skip
LISTED = ("code", "label", "dimension", "factor", "spellings", "exact", "also", "scale")
NOT_FOR_PHONES = ("sources", "examples", "tables")


def lists_module() -> str:
    """The text of the module: one unit a line, in the order in which units are offered."""
    lines = [f"export const {name} = {_json(value)};" for name, value in LISTS.items()]
    units = [f"  {_json(_listed(unit))}," for unit in UNITS.values()]
    return "\n".join(
        [HEAD, *lines, f"// {', '.join(LISTED)}.", "export const UNITS = [", *units, "];", ""]
    )


def ruleset_for_phone(ruleset: RuleSet) -> dict[str, Any]:
    """A rule set as JSON: exact figures as text, so that no reader can round them. Its caution is
    whole, so that the script need not bring ours."""
    plain: dict[str, Any] = _plain(ruleset) | {"caution": caution_of(ruleset.caution)}
    return {name: value for name, value in plain.items() if name not in NOT_FOR_PHONES}


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _listed(unit: Unit) -> list[object]:
    """A row, without what is empty at its end: on a phone the bytes are counted."""
    row: list[object] = [
        unit.code, unit.label, unit.dimension, str(unit.factor), unit.spellings,
        unit.exact_spellings, unit.also, unit.scale,
    ]  # fmt: skip
    while not row[-1]:
        row.pop()
    return row


def _plain(value: Any) -> Any:
    if isinstance(value, Quantity):
        return value.stored()
    if dataclasses.is_dataclass(value):
        fields = dataclasses.fields(value)
        return {field.name: _plain(getattr(value, field.name)) for field in fields}
    if isinstance(value, Fraction | Enum):
        return str(value)
    if isinstance(value, Mapping):
        return {name: _plain(each) for name, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return value


if __name__ == "__main__":
    MODULE.write_text(lists_module(), encoding="utf-8")
