"""Refuse criteria of one rule set that contradict each other. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import permutations

from rigging.engine.faults import RuleSetRefused
from rigging.engine.rulesets import Criterion


def check_criteria(name: str, criteria: Sequence[Criterion]) -> None:
    """Raise RuleSetRefused where a shorter window has the larger number, where one strand may
    have more broken wires than the rope, or where a combination names no other criterion."""
    for shorter, longer in permutations(criteria, 2):
        if _nested(shorter, longer) and _number(shorter) > _number(longer):
            raise RuleSetRefused(
                name,
                f"criterion {shorter.slug} allows more than {longer.slug}, which holds it: "
                "a misprint?",
            )
    slugs = {each.slug for each in criteria if not each.combines}
    for each in criteria:
        unknown = sorted(set(each.combines) - slugs)
        if unknown:
            raise RuleSetRefused(name, f"criterion {each.slug} combines {unknown[0]}: not here.")


def _number(criterion: Criterion) -> Fraction:
    number = criterion.limit.number if criterion.limit else None
    assert number is not None  # _nested made sure
    return number


def _nested(inner: Criterion, outer: Criterion) -> bool:
    """Whether every wire that the one counts is counted by the other too."""
    pair = (inner, outer)
    if any(each.wanted is None or not each.limit or each.limit.number is None for each in pair):
        return False
    if inner.when != outer.when or inner.outcome != outer.outcome:
        return False
    assert inner.wanted is not None
    assert outer.wanted is not None
    if inner.comparator != outer.comparator:
        return False
    if _kept(inner) != _kept(outer) or not inner.wanted.per_strand >= outer.wanted.per_strand:
        return False
    (kind, amount), (other, larger) = inner.wanted.window, outer.wanted.window
    if kind != other or not isinstance(amount, int) or not isinstance(larger, int):
        return False
    return amount <= larger


def _kept(criterion: Criterion) -> object:
    assert criterion.wanted is not None
    return replace(criterion.wanted, window=("lay", 1), per_strand=False)
