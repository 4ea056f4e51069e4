"""Refusals of rule-set files, with small readers that name the file and the fault. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any


class RuleSetRefused(ValueError):
    """A rule set that cannot be used. The message names the file and the fault."""

    def __init__(self, name: str, fault: str) -> None:
        super().__init__(f"{name}: {fault}")
        self.name = name
        self.fault = fault


def text(name: str, where: str, row: Mapping[str, Any], key: str) -> str:
    """A text that must be there and not empty."""
    value = row.get(key)
    if not isinstance(value, str) or not value.strip():
        raise RuleSetRefused(name, f"{where} has no {key}.")
    return value.strip()


def mapping(name: str, where: str, row: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    """A table inside a row that must be there."""
    value = row.get(key)
    if not isinstance(value, Mapping):
        raise RuleSetRefused(name, f"{where} has no {key}.")
    return value


def each(name: str, parsed: Mapping[str, Any], key: str, least: int = 1) -> list[Mapping[str, Any]]:
    """The rows of one kind; at least one unless said otherwise."""
    rows = parsed.get(key, [])
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise RuleSetRefused(name, f"{key} is a list of tables ([[{key}]]).")
    if len(rows) < least:
        raise RuleSetRefused(name, f"it has no {key}.")
    return rows


BLANK = "FILL IN"


def refuse_blanks(name: str, value: object, where: str = "") -> None:
    """A template with something not filled in is no rule, whatever else it says."""
    if isinstance(value, str) and BLANK in value:
        raise RuleSetRefused(name, f"{where} is not filled in.")
    pairs: Iterable[tuple[object, object]] = ()
    if isinstance(value, Mapping):
        pairs = value.items()
    elif isinstance(value, list):
        pairs = enumerate(value, 1)
    for key, each_value in pairs:
        refuse_blanks(name, each_value, f"{where} {key}".strip())


def refuse_unknown(name: str, where: str, row: Mapping[str, Any], known: Iterable[str]) -> None:
    """A misspelt key must not be skipped silently."""
    unknown = sorted(set(row) - set(known))
    if unknown:
        raise RuleSetRefused(name, f"{where} has {', '.join(unknown)}, which is not known here.")


def one_of(
    name: str, where: str, row: Mapping[str, Any], key: str, allowed: tuple[str, ...]
) -> str:
    """A text that is one of a closed list."""
    value = text(name, where, row, key)
    if value not in allowed:
        raise RuleSetRefused(name, f"{where}: {key} is one of {', '.join(allowed)}.")
    return value
