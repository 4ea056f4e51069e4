"""Limits of lifts, detectors, ways aloft, brakes and hoists, judged like a rope's. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from rigging.engine.reading_limits import judge_limit
from rigging.engine.rulesets import Source
from rigging.engine.verdicts import USUALLY_ASKS, Judgement, Outcome, Verdict
from venue.quantities import Quantity

Facts = Mapping[str, Quantity | None]


@dataclass(frozen=True)
class Bound:
    """One end of a limit: a figure, or a part of a figure of this very equipment."""

    figure: Quantity | None = None
    times: Fraction = Fraction(1)
    of: str = ""

    def for_facts(self, facts: Facts) -> Quantity | None:
        """None where the figure it is a part of is not known."""
        if self.figure is not None:
            return self.figure
        whole = facts.get(self.of)
        if whole is None:
            return None
        value = whole.value * self.times
        return Quantity(f"{self.words(str(whole))}", value, whole.unit, whole.dimension)

    def words(self, whole: str) -> str:
        return whole if self.times == 1 else f"{self.times} × {whole}"


@dataclass(frozen=True)
class PrintedLimit:
    """A limit as a document prints it. `two_points`: see `rigging.engine.two_points`."""

    slug: str
    words: str
    clause: str
    source: Source
    dimension: str
    outcome: Outcome
    verified: str
    at_least: Bound | None = None
    at_most: Bound | None = None
    asks: str = ""
    action: str = ""
    note: str = ""
    off: str = ""
    two_points: str = ""  # the fact that is the alarm level
    within: Fraction | None = None  # how far a filter may lie from that level

    @property
    def facts(self) -> tuple[str, ...]:
        """The figures of the equipment that it needs."""
        bounds = [bound.of for bound in (self.at_least, self.at_most) if bound and bound.of]
        return tuple(dict.fromkeys([*bounds, *([self.two_points] if self.two_points else [])]))

    @property
    def limit_text(self) -> str:
        if self.two_points:
            return f"no alarm below and an alarm above the {_plain(self.two_points)}"
        ends = [("at least", self.at_least), ("at most", self.at_most)]
        return " and ".join(
            f"{word} {bound.figure or bound.words('the ' + _plain(bound.of))}"
            for word, bound in ends
            if bound
        )


@dataclass(frozen=True)
class LimitExample:
    limit: str
    name: str
    kind: str
    source: str
    reading: Mapping[str, Any]
    facts: Mapping[str, str]
    expect: Mapping[str, str]


@dataclass(frozen=True)
class LimitSet:
    """Limits of one subject with their sources and worked examples."""

    slug: str
    title: str
    subject: str
    jurisdiction: str
    applies_to: str
    limits: tuple[PrintedLimit, ...]
    examples: tuple[LimitExample, ...]
    hash: str

    def limit(self, slug: str) -> PrintedLimit | None:
        return next((each for each in self.limits if each.slug == slug), None)


def judge_printed_limit(
    limit: PrintedLimit, reading: Quantity | None, facts: Facts, uncertainty: Quantity | None = None
) -> Judgement:
    """The judgement of one reading by a printed limit, with the outcome that the limit asks for.

    What is not known, and a limit that is switched off, cannot be decided: never a pass.
    """
    ends = [bound for bound in (limit.at_least, limit.at_most) if bound]
    missing = tuple(_plain(bound.of) for bound in ends if bound.for_facts(facts) is None)
    if limit.off:
        return undecided(limit, reading, (limit.off,))
    if reading is None:
        return undecided(limit, reading, (f"the reading: {limit.words}", *missing))
    if missing:
        return undecided(limit, reading, missing)
    least, most = (
        bound.for_facts(facts) if bound else None for bound in (limit.at_least, limit.at_most)
    )
    found = judge_limit(
        reading, least, most, uncertainty, clause=limit.clause, source=limit.source.document
    )
    return with_outcome(limit, found)


def with_outcome(limit: PrintedLimit, found: Judgement) -> Judgement:
    """A broken limit does what its document says, not more and not less."""
    plain = replace(
        found, ruleset=limit.slug, edition=limit.source.edition, words=limit.words,
        verified=limit.verified, notes=(limit.note,) if limit.note else (),
    )  # fmt: skip
    if found.verdict is not Verdict.MET:
        return plain
    return replace(
        plain, state=str(limit.outcome), outcome=limit.outcome, action=limit.action,
        asks=limit.asks or USUALLY_ASKS[limit.outcome],
    )  # fmt: skip


def undecided(
    limit: PrintedLimit, reading: Quantity | None, missing: tuple[str, ...]
) -> Judgement:  # fmt: skip
    return Judgement(
        ruleset=limit.slug, title=limit.source.document, edition=limit.source.edition, hash="",
        status="", verdict=Verdict.CANNOT_BE_DECIDED, state="cannot be decided",
        outcome=Outcome.UNDECIDED, clause=limit.clause, value=str(reading or ""),
        limit=limit.limit_text, comparator="", margin="", missing=missing, results=(),
        words=limit.words, verified=limit.verified, notes=(limit.note,) if limit.note else (),
    )  # fmt: skip


def _plain(fact: str) -> str:
    return fact.replace("_", " ")
