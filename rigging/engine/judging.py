"""Judge a rope by a rule set. Pure: the same answer on a phone, on the server, in ten years."""

from __future__ import annotations

from fractions import Fraction

from rigging.engine.combinations import apply_combination
from rigging.engine.conditions import CONDITIONS, WHOLE_OF
from rigging.engine.criteria import apply_criterion
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import RopeFacts
from rigging.engine.rulesets import Criterion, RuleSet
from rigging.engine.verdicts import (
    STATES,
    CriterionResult,
    Judgement,
    Outcome,
    Verdict,
    caution_of,
)

OUTCOMES = {
    "fit": Outcome.KEEP,
    "watch": Outcome.WATCH,
    "cannot be decided": Outcome.UNDECIDED,
}


def judge_rope(rope: RopeFacts, observation: RopeObservation, ruleset: RuleSet) -> Judgement:
    """The judgement of one rule set on one rope as observed.

    The worst criterion decides. "Fit" needs every criterion that applies decided and none met,
    none near its limit, no broken wire and no condition seen. A condition seen that the rule set
    does not speak of puts the rope out of service until a competent person decides.

    >>> from rigging.engine import load_rulesets
    >>> rules = load_rulesets()["us-osha-1926-1413"]
    >>> judge_rope(RopeFacts(), RopeObservation(), rules).state
    'cannot be decided'
    """
    results = tuple(_applied(each, rope, observation, ruleset) for each in ruleset.criteria)
    results += _seen_beyond(observation, ruleset) + _not_spoken_of(rope, ruleset)
    counted = [each for each in results if each.verdict is not Verdict.DOES_NOT_APPLY]
    return _judgement(ruleset, max(counted, key=_weight), results, counted)


def _applied(
    criterion: Criterion, rope: RopeFacts, seen: RopeObservation, ruleset: RuleSet
) -> CriterionResult:
    if criterion.combines:
        return apply_combination(criterion, rope, seen, ruleset.criteria)
    return apply_criterion(criterion, rope, seen)


def _weight(result: CriterionResult) -> tuple[int, Fraction]:
    return STATES.index(result.state), result.closeness


def _seen_beyond(observation: RopeObservation, ruleset: RuleSet) -> tuple[CriterionResult, ...]:
    """Conditions seen that no criterion of the rule set covers: never passed over."""
    names = [name for name in CONDITIONS if name not in WHOLE_OF]
    measured = {criterion.indicator for criterion in ruleset.criteria}
    covered = ruleset.covered_conditions
    if "outer_wire_loss" in measured:
        covered |= {"outer_wires_worn"}
    return tuple(
        CriterionResult(
            slug=f"seen-{name}", words=CONDITIONS[name], clause="not in this rule set",
            verdict=Verdict.MET, outcome=Outcome.OUT_OF_SERVICE, value="present",
            limit="not present", verified="common practice",
            action="Out of service until a competent person has looked and decided.",
            asks="a competent person decides",
        )
        for name in names
        if name not in covered and observation.seen(name)
    )  # fmt: skip


def _not_spoken_of(rope: RopeFacts, ruleset: RuleSet) -> tuple[CriterionResult, ...]:
    """What keeps a rule set from passing this rope: it says nothing of something that matters."""
    missing = [ruleset.incomplete] if ruleset.incomplete else []
    counting = [each for each in ruleset.criteria if each.wanted and not each.off]
    if all(each.applies(rope) is False for each in counting):
        missing.append("a rule set that counts the broken wires of such a rope: this one does not")
    return tuple(
        CriterionResult(
            slug=f"not-spoken-of-{place}", words="what this rule set does not speak of",
            clause="not in this rule set", verdict=Verdict.CANNOT_BE_DECIDED,
            outcome=Outcome.UNDECIDED, missing=(words,),
        )
        for place, words in enumerate(missing, 1)
    )  # fmt: skip


def _verdict(counted: list[CriterionResult]) -> Verdict:
    verdicts = {result.verdict for result in counted}
    if Verdict.MET in verdicts:
        return Verdict.MET
    if verdicts & {Verdict.CANNOT_BE_DECIDED, Verdict.SWITCHED_OFF}:
        return Verdict.CANNOT_BE_DECIDED
    return Verdict.NOT_MET


def _judgement(
    ruleset: RuleSet, deciding: CriterionResult, results: tuple[CriterionResult, ...],
    counted: list[CriterionResult],
) -> Judgement:  # fmt: skip
    missing = [word for result in counted for word in result.missing]
    notes = [result.note for result in counted if result.note]
    return Judgement(
        ruleset=ruleset.slug, title=ruleset.title, edition=ruleset.edition, hash=ruleset.hash,
        status=ruleset.status, verdict=_verdict(counted), state=deciding.state,
        outcome=OUTCOMES.get(deciding.state, deciding.outcome), words=deciding.words,
        clause=deciding.clause, value=deciding.value, limit=deciding.limit,
        comparator=deciding.comparator, margin=deciding.margin,
        missing=tuple(dict.fromkeys(missing)), action=deciding.action, verified=deciding.verified,
        notes=tuple(dict.fromkeys(notes)), results=results,
        caution=caution_of(ruleset.caution), asks=deciding.asks,
    )  # fmt: skip
