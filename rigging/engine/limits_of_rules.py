"""The limit of a criterion for one rope: a number, a percentage, a table, bands; scaled. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from rigging.engine.bounds import Limit
from rigging.engine.losses import loss_bounds
from rigging.engine.observation import RopeObservation
from rigging.engine.printed_tables import Table
from rigging.engine.rope import FACT_WORDS, RopeFacts

WIRES = {
    "total_wires": "wires in the rope",
    "wires_per_strand": "wires in the strand",
    "outer_load_bearing_wires": "load-bearing wires in the outer strands",
}
OR_MORE = "or more"


def facts_allow(rope: RopeFacts, when: Mapping[str, tuple[object, ...]]) -> bool | None:
    """Whether the facts are among those allowed. None: a fact that decides it is not known."""
    said = [allows(getattr(rope, fact), allowed) for fact, allowed in when.items()]
    if False in said:
        return False
    return None if None in said else True


def allows(fact: object, allowed: tuple[object, ...]) -> bool | None:
    """None where the fact is not known. `[11, "or more"]` allows eleven and every larger number.

    >>> allows(12, (11, "or more")), allows(4, (3, 4)), allows(None, (True,))
    (True, True, None)
    """
    if fact is None:
        return None
    if fact in allowed:
        return True
    numbers = [each for each in allowed if isinstance(each, int)]
    return OR_MORE in allowed and isinstance(fact, int) and bool(numbers) and fact >= max(numbers)


@dataclass(frozen=True)
class Scale:
    """Steps of a loss from which on the limit is only a part of itself, in rising order."""

    by: str
    steps: tuple[tuple[Fraction, Fraction], ...]

    def factor(self, loss: Fraction | None) -> Fraction:
        """The factor at a loss; None is a loss without upper bound."""
        reached = [factor for start, factor in self.steps if loss is None or start <= loss]
        return reached[-1] if reached else Fraction(1)


@dataclass(frozen=True)
class LimitRule:
    """How a criterion gets its limit. Exactly one of number, percent or table is given; bands
    come with the number at which they reach discard."""

    text: str
    number: Fraction | None = None
    percent: Fraction | None = None
    of: str = ""
    table: Table | None = None
    column: str = ""
    unit: str = "1"  # for the eye; the figures are in SI
    times: Fraction = Fraction(1)
    times_when: Mapping[str, tuple[object, ...]] | None = None
    dimension: str = "count"
    bands: tuple[tuple[Fraction, Fraction], ...] = ()  # from this value on, this severity
    scale: Scale | None = None

    def for_rope(self, rope: RopeFacts, seen: RopeObservation) -> Limit:
        """The limit in SI, exactly. What is not known never makes it larger for certain."""
        if self.number is not None:
            found = Limit(self.number, self.number)
        elif self.percent is not None:
            found = self._part_of_wires(rope)
        else:
            assert self.table is not None  # the loader made sure
            found = self.table.cell(rope, self.column)
        return self._scaled(self._multiplied(found, rope), seen)

    def band(self, value: Fraction) -> Fraction:
        """The severity of a value: that of the last band that begins at or below it."""
        reached = [severity for start, severity in self.bands if start <= value]
        return reached[-1] if reached else Fraction(0)

    def _part_of_wires(self, rope: RopeFacts) -> Limit:
        wires = getattr(rope, self.of)
        if wires is None:
            return Limit(None, None, (FACT_WORDS[self.of],))
        part = Fraction(wires) * self.percent / 100  # type: ignore[operator]
        return Limit(part, part)

    def _multiplied(self, found: Limit, rope: RopeFacts) -> Limit:
        """A factor of more than one needs its facts known. One below one holds the limit in
        doubt while they are not."""
        applies = facts_allow(rope, self.times_when) if self.times_when else False
        if applies:
            return _times(found, self.times, self.times)
        if applies is False or self.times >= 1:
            return found
        unknown = [fact for fact in self.times_when or {} if getattr(rope, fact) is None]
        return _times(found, self.times, Fraction(1), tuple(FACT_WORDS[fact] for fact in unknown))

    def _scaled(self, found: Limit, seen: RopeObservation) -> Limit:
        if self.scale is None:
            return found
        loss = loss_bounds(self.scale.by, seen)
        least, most = self.scale.factor(loss.high), self.scale.factor(loss.low)
        return _times(found, least, most, loss.missing if least != most else ())


def _times(
    found: Limit, least: Fraction, most: Fraction, missing: tuple[str, ...] = ()
) -> Limit:  # fmt: skip
    if found.low is None or found.high is None:
        return found
    return Limit(found.low * least, found.high * most, found.missing + missing)
