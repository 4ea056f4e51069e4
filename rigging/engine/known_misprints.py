"""Figures that are known to be printed wrongly somewhere: a file that carries one is refused. Pure.

The list is rigging/rulesets/misprints/known.toml. A misprint is a part of a criterion or a limit
as it would be written in a file, and a text that one of the file's sources names.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

from rigging.engine.faults import RuleSetRefused

LIST = Path(__file__).parent.parent / "rulesets" / "misprints" / "known.toml"


@cache
def known_misprints() -> tuple[Mapping[str, Any], ...]:
    """Every misprint of the list: `document`, `part`, `words`, `source`."""
    return tuple(tomllib.loads(LIST.read_text(encoding="utf-8"))["misprint"])


def refuse_known_misprints(name: str, parsed: Mapping[str, Any]) -> None:
    """Raise RuleSetRefused where a criterion or a limit of the file is a known misprint."""
    documents = " ".join(
        str(source.get(key, "")) for source in parsed.get("source", []) for key in source
    )
    for misprint in known_misprints():
        if misprint["document"] not in documents:
            continue
        for row in [*parsed.get("criterion", []), *parsed.get("limit", [])]:
            if holds(row, misprint["part"]):
                raise RuleSetRefused(
                    name, f"{row.get('slug', 'a row')} is a known misprint: {misprint['words']}"
                )


def holds(whole: object, part: object) -> bool:
    """Whether a part is somewhere in it: every key of it, with the same value. Figures are the
    same however they are written.

    >>> holds({"limit": {"number": 6}, "slug": "x"}, {"limit": {"number": "6"}})
    True
    """
    if isinstance(part, Mapping):
        return isinstance(whole, Mapping) and all(
            key in whole and holds(whole[key], value) for key, value in part.items()
        )
    if isinstance(part, list):
        if not isinstance(whole, list):
            return False
        if part and isinstance(part[0], list):
            return all(any(holds(each, row) for each in whole) for row in part)
        pairs = zip(whole, part, strict=False)
        return len(whole) == len(part) and all(holds(one, other) for one, other in pairs)
    return _figure(whole) == _figure(part)


def _figure(value: object) -> object:
    """A number as a fraction, anything else as it stands."""
    text = str(value)
    try:
        return Fraction(text)
    except (ValueError, ZeroDivisionError):
        return text
