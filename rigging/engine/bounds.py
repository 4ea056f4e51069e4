"""What is known of a measured thing: at least `low`, at most `high`. Pure.

A count in another window than the criterion's, a wire whose strand was not noted, a reading with
an uncertain instrument: each leaves a range. A criterion is decided only where the whole range
lies on one side of its limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from rigging.engine.verdicts import Verdict


@dataclass(frozen=True)
class Bounds:
    """`high` None: no upper bound is known. `missing`: what would narrow the range, in words.
    `reading` is the figure as read, for the eye, where the range comes from an instrument."""

    low: Fraction
    high: Fraction | None
    missing: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    reading: Fraction | None = None

    @property
    def exact(self) -> bool:
        return self.low == self.high


@dataclass(frozen=True)
class Limit:
    """A limit, or the two figures that two documents print for it. None: not known."""

    low: Fraction | None
    high: Fraction | None
    missing: tuple[str, ...] = ()


def compare(bounds: Bounds, comparator: str, limit: Limit) -> Verdict:
    """Whether a criterion `value comparator limit` is met, exactly. Comparators: > >= < <=.

    >>> compare(Bounds(Fraction(5), Fraction(5)), ">", Limit(Fraction(5), Fraction(5)))
    <Verdict.NOT_MET: 'not met'>
    >>> compare(Bounds(Fraction(1), None), ">=", Limit(Fraction(6), Fraction(6)))
    <Verdict.CANNOT_BE_DECIDED: 'cannot be decided'>
    """
    if comparator in ("<", "<="):
        return _compare_below(bounds, comparator == "<", limit)
    if limit.low is None or limit.high is None:
        # Every limit is more than zero, so a value known to be zero or less does not reach it.
        none = bounds.high is not None and bounds.high <= 0
        return Verdict.NOT_MET if none else Verdict.CANNOT_BE_DECIDED
    strict = comparator == ">"
    if bounds.low > limit.high or (not strict and bounds.low == limit.high):
        return Verdict.MET
    if bounds.high is None:
        return Verdict.CANNOT_BE_DECIDED
    if bounds.high < limit.low or (strict and bounds.high == limit.low):
        return Verdict.NOT_MET
    return Verdict.CANNOT_BE_DECIDED


def _compare_below(bounds: Bounds, strict: bool, limit: Limit) -> Verdict:
    """A criterion that is met by too little: a factor, a height."""
    if limit.low is None or limit.high is None:
        return Verdict.CANNOT_BE_DECIDED
    if bounds.high is not None and (
        bounds.high < limit.low or (not strict and bounds.high == limit.low)
    ):
        return Verdict.MET
    if bounds.low > limit.high or (strict and bounds.low == limit.high):
        return Verdict.NOT_MET
    return Verdict.CANNOT_BE_DECIDED


def combine(sources: list[Bounds]) -> Bounds:
    """The narrowest range that several sources allow. Where they contradict each other the
    higher one counts, and a note says so."""
    low = max(source.low for source in sources)
    highs = [source.high for source in sources if source.high is not None]
    high = min(highs) if highs else None
    missing = tuple(dict.fromkeys(word for source in sources for word in source.missing))
    notes = tuple(dict.fromkeys(word for source in sources for word in source.notes))
    if high is not None and high < low:
        high = max(*highs, low)
        notes = (*notes, "The count and the listed wires disagree; the higher was used.")
    return Bounds(low, high, missing, notes)
