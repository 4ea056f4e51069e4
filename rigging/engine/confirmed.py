"""A rule set with those figures switched on that a named person has confirmed. Pure."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from fractions import Fraction
from typing import Any

from rigging.engine.rulesets import Criterion, RuleSet


def confirmable(ruleset: RuleSet) -> tuple[Criterion, ...]:
    """The criteria that are switched off until a person has the document before them."""
    return tuple(each for each in ruleset.criteria if each.off)


def criterion_hash(criterion: Criterion) -> str:
    """SHA-256 over what the criterion compares: a changed figure needs a new confirmation."""
    canonical = json.dumps(_plain(criterion), sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def with_confirmed(ruleset: RuleSet, confirmed: Mapping[str, str]) -> RuleSet:
    """The rule set with the criteria named by slug in force; the words say who confirmed them.

    The hash is another one: it names the rule set's content and what was confirmed.
    """
    names = {each.slug for each in confirmable(ruleset)} & set(confirmed)
    if not names:
        return ruleset
    criteria = tuple(
        replace(each, off="", verified=confirmed[each.slug]) if each.slug in names else each
        for each in ruleset.criteria
    )
    said = json.dumps([ruleset.hash, sorted((name, confirmed[name]) for name in names)])
    return replace(ruleset, criteria=criteria, hash=hashlib.sha256(said.encode()).hexdigest())


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Fraction | Enum):
        return str(value)
    if isinstance(value, Mapping):
        return {str(name): _plain(each) for name, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return value
