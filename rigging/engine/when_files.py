"""Read for which ropes a criterion or a factor holds. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rigging.engine.faults import RuleSetRefused
from rigging.engine.limits_of_rules import OR_MORE
from rigging.engine.rope import CHOICES, FACT_WORDS, NUMBERS


def read_when(name: str, where: str, said: Mapping[str, Any]) -> dict[str, tuple[object, ...]]:
    """Facts with the values that are allowed; whole numbers may end in "or more"."""
    for fact, allowed in said.items():
        if fact not in FACT_WORDS or not isinstance(allowed, list) or not allowed:
            raise RuleSetRefused(name, f"{where}: when.{fact} is a fact of a rope with a list.")
        wrong = [value for value in allowed if not _may_be(fact, value)]
        if wrong:
            raise RuleSetRefused(name, f"{where}: when.{fact} cannot be {wrong[0]!r}.")
    return {fact: tuple(allowed) for fact, allowed in said.items()}


def _may_be(fact: str, value: object) -> bool:
    if fact == "construction":
        return isinstance(value, str)
    if fact in NUMBERS:
        whole = isinstance(value, int) and not isinstance(value, bool)
        return value == OR_MORE or whole
    return value in CHOICES.get(fact, (True, False))
