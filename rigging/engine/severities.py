"""How far one criterion is towards discard, in parts of it: bounds that can be proven. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from rigging.engine.bounds import Bounds, Limit
from rigging.engine.figures import exact_percent
from rigging.engine.limits_of_rules import LimitRule
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import RopeFacts
from rigging.engine.rulesets import Criterion
from rigging.engine.values import value_bounds

NONE = Fraction(0)


@dataclass(frozen=True)
class Severity:
    """1 is discard. `high` None: no upper bound is known."""

    low: Fraction
    high: Fraction | None
    missing: tuple[str, ...] = ()


def severity_of(criterion: Criterion, rope: RopeFacts, seen: RopeObservation) -> Severity:
    """The severity of one criterion for this rope; switched off, nothing is known of it."""
    if criterion.off:
        return Severity(NONE, None, (criterion.off,))
    found = (
        _of_condition(criterion, seen) if criterion.conditions else _measured(criterion, rope, seen)
    )
    if criterion.applies(rope) is None:
        return Severity(NONE, found.high, criterion.unknown_facts(rope) + found.missing)
    return found


def _of_condition(criterion: Criterion, seen: RopeObservation) -> Severity:
    most = criterion.severity if criterion.severity is not None else Fraction(1)
    said = [seen.seen(name) for name in criterion.conditions]
    if True in said:
        return Severity(most, most)
    if None in said:
        return Severity(NONE, most, (f"whether there is {criterion.condition_words}",))
    return Severity(NONE, NONE)


def _measured(criterion: Criterion, rope: RopeFacts, seen: RopeObservation) -> Severity:
    assert criterion.limit is not None  # conditions were told apart before
    bounds = value_bounds(criterion, rope, seen)
    limit = criterion.limit.for_rope(rope, seen)
    return graded(criterion.limit, bounds, limit)


def graded(rule: LimitRule, bounds: Bounds, limit: Limit) -> Severity:
    """The severity of a value: by the rule's bands, else the value in parts of the limit."""
    missing = tuple(dict.fromkeys(bounds.missing + limit.missing))
    if rule.bands:
        high = None if bounds.high is None else rule.band(bounds.high)
        return Severity(rule.band(bounds.low), high, missing)
    low = max(bounds.low, NONE) / limit.high if limit.high else NONE
    if bounds.high is not None and bounds.high <= 0:
        return Severity(NONE, NONE)
    if bounds.high is None or not limit.low:
        return Severity(low, None, missing)
    return Severity(low, bounds.high / limit.low, missing)


def worst_of_one_kind(severities: Sequence[Severity]) -> Severity:
    """The larger of several severities of the same kind of damage."""
    low = max((each.low for each in severities), default=NONE)
    missing = tuple(dict.fromkeys(word for each in severities for word in each.missing))
    if any(each.high is None for each in severities):
        return Severity(low, None, missing)
    return Severity(low, max((each.high or NONE for each in severities), default=NONE), missing)


def severity_text(severity: Severity) -> str:
    """For the eye: "40 %", "between 20 % and 40 %", "" where nothing is known."""
    if severity.high is None:
        return f"at least {exact_percent(severity.low)}" if severity.low else ""
    if severity.low == severity.high:
        return exact_percent(severity.low)
    return f"between {exact_percent(severity.low)} and {exact_percent(severity.high)}"
