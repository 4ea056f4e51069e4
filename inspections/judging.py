"""Judge one read answer. Pure: the rule sets and limits come in as arguments."""

from __future__ import annotations

from collections.abc import Sequence

from inspections.answers import ReadAnswer
from inspections.consequences import worst
from inspections.regime_shapes import Check
from rigging.engine import Judgement, RuleSet, judge_limit, judge_rope


def judge_answer(answer: ReadAnswer, rulesets: Sequence[RuleSet]) -> list[Judgement]:
    """Every judgement on one answer: a rope by each rule set in force, a value by its limit.

    An answer nothing can judge (free text, a photograph) gives an empty list.
    """
    check = answer.question.check
    if answer.observation is not None and answer.question.rope is not None:
        return [judge_rope(answer.question.rope, answer.observation, rules) for rules in rulesets]
    if answer.measured and (check.minimum is not None or check.maximum is not None):
        measured = answer.measured[0]
        source = check.source
        return [
            judge_limit(
                measured.quantity, check.minimum, check.maximum, measured.uncertainty,
                clause=source.clause, source=source.document,
            )
        ]  # fmt: skip
    return []


def state_of_answer(answer: ReadAnswer, judgements: Sequence[Judgement]) -> str:
    """One state for the answer. Where rule sets differ the worst counts; what was not looked at
    cannot be decided; "not applicable here" is not judged."""
    if answer.given == "could_not_look":
        return "cannot be decided"
    if answer.given == "not_applicable":
        return "not judged"
    if judgements:
        return worst([_state(answer.question.check, judgement.state) for judgement in judgements])
    if answer.question.check.answer == "rope":
        return "cannot be decided"  # no rule set in force: nobody may read that as a pass
    if answer.given in ("yes", "no"):
        return _yes_no_state(answer.question.check, answer.given)
    if answer.measured and (answer.question.check.limit_text or answer.question.check.limits_from):
        return "cannot be decided"  # there is a limit in words, but no figure to compare with
    return "not judged"


def _state(check: Check, state: str) -> str:
    """A limit that is not kept does what the check says, not more and not less."""
    if check.answer == "rope" or state != "out of service":
        return state
    return bad_state(check)


def _yes_no_state(check: Check, given: str) -> str:
    good = (given == "yes") == check.yes_means_good
    return "fit" if good else bad_state(check)


def bad_state(check: Check) -> str:
    """The state when the check is failed, as its regime says."""
    if check.out_of_service or check.on_fail in ("not_used_until_cured", "imminent_risk"):
        return "out of service"
    return "watch" if check.on_fail == "observation" else "restrict"
