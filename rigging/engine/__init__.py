"""The computing core: rope facts, raw observations, rule sets, judgements. Pure.

Decision aid for competent people: see `rigging.engine.verdicts.CAUTION`.
"""

from rigging.engine.conditions import CONDITIONS
from rigging.engine.confirmed import confirmable, criterion_hash, with_confirmed
from rigging.engine.examples import faults_of_example
from rigging.engine.faults import RuleSetRefused
from rigging.engine.judging import judge_rope
from rigging.engine.observation import BrokenWire, DiameterPair, RopeObservation, WireCount
from rigging.engine.reading_limits import judge_limit
from rigging.engine.requests import answer_request
from rigging.engine.rope import FaultyFact, RopeFacts
from rigging.engine.ruleset_files import load_ruleset, load_rulesets, read_ruleset
from rigging.engine.rulesets import Criterion, Example, RuleSet, Source
from rigging.engine.verdicts import (
    CAUTION,
    STATES,
    CriterionResult,
    Judgement,
    Outcome,
    Verdict,
)

__all__ = [
    "CAUTION",
    "CONDITIONS",
    "STATES",
    "BrokenWire",
    "Criterion",
    "CriterionResult",
    "DiameterPair",
    "Example",
    "FaultyFact",
    "Judgement",
    "Outcome",
    "RopeFacts",
    "RopeObservation",
    "RuleSet",
    "RuleSetRefused",
    "Source",
    "Verdict",
    "WireCount",
    "answer_request",
    "confirmable",
    "criterion_hash",
    "faults_of_example",
    "judge_limit",
    "judge_rope",
    "load_ruleset",
    "load_rulesets",
    "read_ruleset",
    "with_confirmed",
]
