"""What a judgement says. Pure.

A verdict is about a criterion: "met" means that a retirement criterion is met. A state is what
follows for the rope or the equipment. "Cannot be decided" is never a pass.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Any

CAUTION = (
    "This is a decision aid for competent people. The manufacturer's instructions, the local codes "
    "and licensed or competent persons come first. When in doubt, take it out of service."
)


def caution_of(rules: str) -> str:
    """What stands below a judgement: what its rule set cautions against, then ours."""
    return f"{rules} {CAUTION}".strip()


class Verdict(StrEnum):
    MET = "met"
    NOT_MET = "not met"
    CANNOT_BE_DECIDED = "cannot be decided"
    DOES_NOT_APPLY = "does not apply"  # only of a single criterion
    SWITCHED_OFF = "switched off"  # only of a single criterion


class Outcome(StrEnum):
    """What the rule asks for. A rule computes; only a named person retires or keeps."""

    KEEP = "keep"
    WATCH = "watch"
    UNDECIDED = "cannot be decided"
    RESTRICT = "restrict"
    OUT_OF_SERVICE = "out of service"
    RETIRE = "retire"


# From best to worst: the worst of several counts.
STATES = ("fit", "watch", "restrict", "cannot be decided", "out of service", "retire")


# What a rule asks for, beside the state it puts the rope in.
ASKS = (
    "retire", "cut out", "re-terminate", "a competent person decides", "shorten the interval",
    "investigate", "restrict",
)  # fmt: skip
USUALLY_ASKS = {
    Outcome.RETIRE: "retire",
    Outcome.OUT_OF_SERVICE: "a competent person decides",
    Outcome.RESTRICT: "restrict",
    Outcome.WATCH: "investigate",
}


@dataclass(frozen=True)
class CriterionResult:
    """One criterion applied once. Figures are texts that never round across the limit."""

    slug: str
    words: str
    clause: str
    verdict: Verdict
    outcome: Outcome
    value: str = ""
    limit: str = ""
    comparator: str = ""
    margin: str = ""
    missing: tuple[str, ...] = ()
    verified: str = ""
    action: str = ""
    note: str = ""
    near: bool = False
    closeness: Fraction = Fraction(0)  # value over limit, to find the deciding criterion
    asks: str = ""  # one of ASKS, where the criterion is met
    severity: str = ""  # in parts of discard, where the rule grades it: "40 %"

    @property
    def state(self) -> str:
        if self.verdict is Verdict.MET:
            return str(self.outcome)
        if self.verdict in (Verdict.CANNOT_BE_DECIDED, Verdict.SWITCHED_OFF):
            return "cannot be decided"
        if self.verdict is Verdict.DOES_NOT_APPLY:
            return "does not apply"  # nothing was judged: never a pass
        return "watch" if self.near else "fit"

    def to_dict(self) -> dict[str, Any]:
        return {
            "slug": self.slug, "words": self.words, "clause": self.clause,
            "verdict": str(self.verdict), "state": self.state, "value": self.value,
            "limit": self.limit, "comparator": self.comparator, "margin": self.margin,
            "missing": list(self.missing), "verified": self.verified, "action": self.action,
            "note": self.note, "asks": self.asks, "severity": self.severity,
        }  # fmt: skip


@dataclass(frozen=True)
class Judgement:
    """The verdict of one rule set, or of one limit, with the criterion that decided it."""

    ruleset: str
    title: str
    edition: str
    hash: str
    status: str
    verdict: Verdict
    state: str
    outcome: Outcome
    clause: str
    value: str
    limit: str
    comparator: str
    margin: str
    missing: tuple[str, ...]
    results: tuple[CriterionResult, ...]
    words: str = ""
    action: str = ""
    verified: str = ""
    notes: tuple[str, ...] = ()
    caution: str = CAUTION
    asks: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Text only, for a JSON field or a response."""
        return {
            "ruleset": self.ruleset, "title": self.title, "edition": self.edition,
            "hash": self.hash, "status": self.status, "verdict": str(self.verdict),
            "state": self.state, "outcome": str(self.outcome), "words": self.words,
            "clause": self.clause, "value": self.value, "limit": self.limit,
            "comparator": self.comparator, "margin": self.margin, "missing": list(self.missing),
            "action": self.action, "verified": self.verified, "notes": list(self.notes),
            "results": [result.to_dict() for result in self.results], "caution": self.caution,
            "asks": self.asks,
        }  # fmt: skip
