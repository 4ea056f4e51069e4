"""Severities: how far a criterion is towards discard, and their sum at one place. Pure.

Principle: ISO 4309, combined effect (from memory); the arithmetic of the bounds is our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from rigging.engine.bounds import Bounds
from rigging.engine.criteria import finished, undecided, without_figures
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import RopeFacts
from rigging.engine.rulesets import Criterion
from rigging.engine.severities import NONE, Severity, severity_of, worst_of_one_kind
from rigging.engine.verdicts import CriterionResult, Verdict
from rigging.engine.wire_counts import length_of, missing_lengths


@dataclass(frozen=True)
class Kind:
    """The criteria of one indicator that apply: the worst of them is the severity of the kind."""

    indicator: str
    criteria: tuple[Criterion, ...]

    def placed(self, seen: RopeObservation) -> bool:
        """Whether everything seen of it has a position along the rope."""
        if self.indicator == "broken_wires":
            return bool(seen.broken_wires) and not seen.counts
        if self.indicator == "diameter_loss":
            return bool(seen.diameters) and all(pair.position for pair in seen.diameters)
        return False

    def severity(self, rope: RopeFacts, seen: RopeObservation) -> Severity:
        return worst_of_one_kind([severity_of(each, rope, seen) for each in self.criteria])

    def severity_within(
        self, rope: RopeFacts, part: RopeObservation, whole: Severity
    ) -> Severity:  # fmt: skip
        """In one window of a kind whose places are all known. Every broken wire is listed, so
        none listed there is none. A diameter not measured there may be as bad as the worst."""
        if self.indicator == "broken_wires":
            return self.severity(rope, part) if part.broken_wires else Severity(NONE, NONE)
        return self.severity(rope, part) if part.diameters else Severity(NONE, whole.high)


def apply_combination(
    criterion: Criterion, rope: RopeFacts, seen: RopeObservation, all_of: Sequence[Criterion]
) -> CriterionResult:
    """The sum of the severities of different kinds of damage within one stretch of the rope."""
    applies = criterion.applies(rope)
    if applies is False:
        return without_figures(criterion, Verdict.DOES_NOT_APPLY)
    if criterion.off:
        return without_figures(criterion, Verdict.SWITCHED_OFF, (criterion.off,))
    assert criterion.limit is not None  # the loader made sure
    members = [each for each in all_of if each.slug in criterion.combines]
    bounds = combined_bounds(criterion, rope, seen, members)
    result = finished(criterion, bounds, criterion.limit.for_rope(rope, seen))
    if applies or result.verdict is Verdict.NOT_MET:
        return result
    return undecided(result, criterion.unknown_facts(rope))


def combined_bounds(
    criterion: Criterion, rope: RopeFacts, seen: RopeObservation, members: Sequence[Criterion]
) -> Bounds:
    """At least and at most the largest sum over the closed windows of the criterion's length."""
    kinds = _kinds(members, rope)
    whole = {kind.indicator: kind.severity(rope, seen) for kind in kinds}
    alone = max((severity.low for severity in whole.values()), default=NONE)
    missing = tuple(dict.fromkeys(word for each in whole.values() for word in each.missing))
    if any(severity.high is None for severity in whole.values()):
        return Bounds(alone, None, missing)
    placed = [kind for kind in kinds if kind.placed(seen)]
    length = length_of(criterion.stretch, rope) if criterion.stretch else None
    if criterion.stretch and length is None and criterion.stretch[0] != "whole_rope":
        missing += missing_lengths(rope, criterion.stretch)
        placed = []
    low, high = _over_windows(kinds, placed, whole, rope, seen, length)
    low = max(low, alone)
    if low != high and not missing:
        missing = ("whether the worst places of the different faults lie together",)
    return Bounds(low, high, missing if low != high else ())


def _kinds(members: Sequence[Criterion], rope: RopeFacts) -> tuple[Kind, ...]:
    applying = [each for each in members if each.applies(rope) is not False]
    names = dict.fromkeys(each.indicator for each in applying)
    return tuple(
        Kind(name, tuple(each for each in applying if each.indicator == name)) for name in names
    )


def _over_windows(
    kinds: Sequence[Kind], placed: Sequence[Kind], whole: dict[str, Severity], rope: RopeFacts,
    seen: RopeObservation, length: Fraction | None,
) -> tuple[Fraction, Fraction]:  # fmt: skip
    """The largest sum that is certain, and the largest that is possible, over all windows. What
    has no position may lie in any of them, and in none for certain."""
    loose = sum(
        (whole[kind.indicator].high or NONE for kind in kinds if kind not in placed), start=NONE
    )
    low = high = NONE
    for part in _parts(placed, seen, length):
        found = [kind.severity_within(rope, part, whole[kind.indicator]) for kind in placed]
        low = max(low, sum((each.low for each in found), start=NONE))
        high = max(high, sum((each.high or NONE for each in found), start=NONE))
    return low, high + loose


def _parts(
    placed: Sequence[Kind], seen: RopeObservation, length: Fraction | None
) -> list[RopeObservation]:
    """What lies in each window that starts at something seen with its place."""
    names = {kind.indicator for kind in placed}
    wires = seen.broken_wires if "broken_wires" in names else ()
    pairs = seen.diameters if "diameter_loss" in names else ()
    starts = {wire.position.si for wire in wires}
    starts |= {pair.position.si for pair in pairs if pair.position}
    return [
        replace(
            seen,
            broken_wires=tuple(w for w in wires if _within(w.position.si, start, length)),
            diameters=tuple(
                p for p in pairs if p.position and _within(p.position.si, start, length)
            ),
        )
        for start in sorted(starts)
    ]


def _within(position: Fraction, start: Fraction, length: Fraction | None) -> bool:
    return length is None or start <= position <= start + length
