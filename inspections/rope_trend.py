"""What was measured and counted of one rope over time, beside the limits of each rule set. Pure.

Counts are read into each rule's own window as the engine does when it judges, so a look that was
counted in another window is a range here, too, and one that was not counted is not known. Limits are
those that hold for the rope as it is known now. Nothing here is a verdict.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil

from rigging.engine import RopeFacts, RopeObservation, RuleSet
from rigging.engine.bounds import Bounds, Limit
from rigging.engine.diameters import diameter_at_loss, smallest_diameter
from rigging.engine.figures import in_unit, limit_words, shown
from rigging.engine.rulesets import Criterion
from rigging.engine.wire_counts import Wanted, count_bounds

LOSS = "diameter_loss"
NO_UNIT = "1"


@dataclass(frozen=True)
class Look:
    """What was seen of the rope on one day, with what was known of it then."""

    day: date
    seen: RopeObservation
    rope: RopeFacts


@dataclass(frozen=True)
class Point:
    """What one look says: a figure, a range, or (`high` None) no more than a least figure."""

    day: date
    low: Fraction
    high: Fraction | None
    read: Fraction | None
    doubt_stated: bool = True

    @property
    def is_known(self) -> bool:
        return self.read is not None or self.high is not None or self.low > 0


@dataclass(frozen=True)
class LimitLine:
    """Where one rule set draws its line. `key` names its criterion as the forecast does."""

    letter: str
    at: Fraction
    words: str
    rules: str
    clause: str
    what: str
    asks_for: str
    verified: str
    strictest: bool = False  # of two limits, since what decides between them is not known

    @property
    def key(self) -> str:
        return f"{self.what} ({self.rules}, {self.clause})"


@dataclass(frozen=True)
class NoLine:
    """A rule whose limit cannot be drawn, and why."""

    what: str
    rules: str
    clause: str
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Trend:
    title: str  # of what is counted; empty: the diameter
    unit: str
    points: tuple[Point, ...]
    limits: tuple[LimitLine, ...]
    without: tuple[NoLine, ...]

    @property
    def known(self) -> tuple[Point, ...]:
        return tuple(point for point in self.points if point.is_known)


Ruled = tuple[RuleSet, Criterion]


def diameter_trend(
    looks: Sequence[Look], rope: RopeFacts, rulesets: Sequence[RuleSet], unit: str
) -> Trend:
    """The smallest diameter of each look with the instrument's uncertainty, in `unit`."""
    rules = [each for each in _ruled(rulesets, rope) if each[1].indicator == LOSS]
    limits, without = _lines(rules, rope, _last_seen(looks), unit)
    return Trend("", unit, tuple(_diameter(look, unit) for look in looks), limits, without)


def wire_trends(looks: Sequence[Look], rope: RopeFacts, rulesets: Sequence[RuleSet]) -> list[Trend]:
    """One for each way in which a rule set in force counts broken wires of such a rope."""
    by_window: dict[Wanted, list[Ruled]] = {}
    for ruleset, criterion in _ruled(rulesets, rope):
        if criterion.wanted:
            by_window.setdefault(criterion.wanted, []).append((ruleset, criterion))
    found = []
    for wanted, rules in by_window.items():
        limits, without = _lines(rules, rope, _last_seen(looks), NO_UNIT)
        points = tuple(_counted(look, wanted) for look in looks)
        found.append(Trend(wanted.words, NO_UNIT, points, limits, without))
    return found


def _ruled(rulesets: Sequence[RuleSet], rope: RopeFacts) -> list[Ruled]:
    """Every criterion with a limit that may hold for this rope."""
    return [
        (ruleset, criterion)
        for ruleset in rulesets
        for criterion in ruleset.criteria
        if criterion.limit and not criterion.combines and criterion.applies(rope) is not False
        and criterion.comparator in (">", ">=")
    ]  # fmt: skip


def _diameter(look: Look, unit: str) -> Point:
    smallest = smallest_diameter(look.seen)
    if smallest is None:
        return Point(look.day, Fraction(0), None, None)
    stated = look.seen.instrument_uncertainty
    doubt = stated.si if stated else Fraction(0)
    low, high, read = (
        in_unit(each, unit) for each in (smallest - doubt, smallest + doubt, smallest)
    )
    return Point(look.day, low, high, read, stated is not None)


def _counted(look: Look, wanted: Wanted) -> Point:
    bounds: Bounds = count_bounds(look.rope, look.seen, wanted)
    return Point(look.day, bounds.low, bounds.high, bounds.low if bounds.exact else None)


def _last_seen(looks: Sequence[Look]) -> RopeObservation:
    """Some limits go by what was seen, such as the wear: the latest look is what counts."""
    return looks[-1].seen if looks else RopeObservation()


def _lines(
    rules: Sequence[Ruled], rope: RopeFacts, seen: RopeObservation, unit: str
) -> tuple[tuple[LimitLine, ...], tuple[NoLine, ...]]:
    lines: list[LimitLine] = []
    without: list[NoLine] = []
    for ruleset, criterion in rules:
        limit = criterion.limit.for_rope(rope, seen) if criterion.limit else Limit(None, None)
        missing = _missing(criterion, rope, limit)
        at = None if missing else _limit_at(criterion, rope, limit, unit)
        if at is None:
            missing = missing or ("a figure that it is measured against",)
            without.append(NoLine(criterion.words, ruleset.title, criterion.clause, missing))
        else:
            strictest = limit.low != limit.high
            lines.append(_line(_letter(len(lines)), at, (ruleset, criterion), unit, strictest))
    return tuple(lines), tuple(without)


def _missing(criterion: Criterion, rope: RopeFacts, limit: Limit) -> tuple[str, ...]:
    if criterion.off:
        return (criterion.off,)
    unknown = criterion.unknown_facts(rope)
    if unknown or limit.low is None:
        return tuple(dict.fromkeys((*unknown, *limit.missing)))
    return ()


def _limit_at(criterion: Criterion, rope: RopeFacts, limit: Limit, unit: str) -> Fraction | None:
    """Where the line lies; of two figures, the one that is reached first."""
    if criterion.indicator != LOSS or limit.low is None:
        return limit.low
    absolute = criterion.limit is not None and criterion.limit.dimension == "length"
    diameter = diameter_at_loss(rope, criterion.reference, limit.low, absolute)
    return None if diameter is None else in_unit(diameter, unit)


def _line(letter: str, at: Fraction, ruled: Ruled, unit: str, strictest: bool) -> LimitLine:
    ruleset, criterion = ruled
    comparator = criterion.comparator
    if (
        criterion.indicator == LOSS
    ):  # a loss of more than so much is a diameter of less than so much
        comparator = {">": "<", ">=": "<="}[comparator]
    places = 3 if unit == "mm" else 4
    # In words a least diameter is never less than it is; the line lies where it lies.
    told = Fraction(ceil(at * 10**places), 10**places) if criterion.indicator == LOSS else at
    figure = shown(told, None, places)
    words = limit_words(comparator, figure if unit == NO_UNIT else f"{figure} {unit}")
    return LimitLine(
        letter, at, words, ruleset.title, criterion.clause, criterion.words,
        str(criterion.outcome), criterion.verified, strictest,
    )  # fmt: skip


def _letter(number: int) -> str:
    """A, B, … Z, AA: more lines than letters never share one.

    >>> _letter(0), _letter(25), _letter(26)
    ('A', 'Z', 'AA')
    """
    return chr(65 + number % 26) * (1 + number // 26)
