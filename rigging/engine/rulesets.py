"""What a rule set is: a document and edition, its criteria, tables and examples. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

from rigging.engine.conditions import CONDITIONS
from rigging.engine.figures import limit_words
from rigging.engine.limits_of_rules import LimitRule, facts_allow
from rigging.engine.observation import Window
from rigging.engine.printed_tables import Table
from rigging.engine.rope import FACT_WORDS, RopeFacts
from rigging.engine.verdicts import Outcome
from rigging.engine.wire_counts import Wanted

# How well a figure is backed; only the first three count as verified.
VERIFIED = (
    "printed", "worked example", "independent program", "common practice", "from memory",
    "own output",
)  # fmt: skip
UNVERIFIED = ("from memory", "own output")
REFERENCES = {
    "nominal": "against the nominal diameter",
    "baseline": "against the baseline diameter",
    "baseline_over_nominal": "from the baseline diameter, in parts of the nominal diameter",
}


@dataclass(frozen=True)
class Source:
    document: str
    edition: str
    clause: str
    backing: str  # "two documents", "one document", ...
    note: str = ""


@dataclass(frozen=True)
class Criterion:
    slug: str
    words: str
    clause: str
    indicator: str
    comparator: str
    outcome: Outcome
    verified: str
    action: str = ""
    note: str = ""
    off: str = ""  # why it is switched off; empty: in use
    when: Mapping[str, tuple[object, ...]] | None = None
    wanted: Wanted | None = None
    reference: str = ""
    conditions: tuple[str, ...] = ()
    limit: LimitRule | None = None
    only_if_measured: bool = False
    asks: str = ""  # what the rule asks for when it is met, one of verdicts.ASKS
    severity: Fraction | None = None  # of a condition, in parts of discard
    combines: tuple[str, ...] = ()  # the criteria whose severities are summed
    stretch: Window | None = None  # within which length of the rope they are summed

    @property
    def limit_text(self) -> str:
        return self.limit.text if self.limit else "not present"

    @property
    def limit_in_words(self) -> str:
        return limit_words(self.comparator, self.limit_text)

    @property
    def condition_words(self) -> str:
        return " or ".join(CONDITIONS[name] for name in self.conditions)

    def applies(self, rope: RopeFacts) -> bool | None:
        """None: a fact that decides it is not known."""
        return facts_allow(rope, self.when) if self.when else True

    def unknown_facts(self, rope: RopeFacts) -> tuple[str, ...]:
        return tuple(FACT_WORDS[fact] for fact in self.when or {} if getattr(rope, fact) is None)


@dataclass(frozen=True)
class Example:
    """A worked example that every load of the tests executes."""

    name: str
    kind: str  # the class of the expected figures, as in VERIFIED, or "own arithmetic"
    source: str
    rope: Mapping[str, Any]
    observation: Mapping[str, Any]
    expect: Mapping[str, str]


@dataclass(frozen=True)
class RuleSet:
    slug: str
    title: str
    edition: str
    status: str
    jurisdiction: str
    verified: str
    applies_to: str
    sources: tuple[Source, ...]
    criteria: tuple[Criterion, ...]
    tables: Mapping[str, Table]
    examples: tuple[Example, ...]
    hash: str
    caution: str = ""
    incomplete: str = ""  # what the rule does not speak of: it never passes a rope by itself

    @cached_property
    def covered_conditions(self) -> frozenset[str]:
        return frozenset(name for criterion in self.criteria for name in criterion.conditions)
