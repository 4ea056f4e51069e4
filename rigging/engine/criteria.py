"""Apply one criterion to one rope and one observation. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.engine.bounds import Bounds, Limit, compare
from rigging.engine.diameters import diameter_loss
from rigging.engine.figures import limit_figure, margin_text, value_text
from rigging.engine.limits_of_rules import LimitRule
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import RopeFacts
from rigging.engine.rulesets import Criterion
from rigging.engine.verdicts import CriterionResult, Outcome, Verdict
from rigging.engine.wire_counts import count_bounds
from venue.quantities import Quantity

# A value at or above this part of its limit is near it. Our own margin, common practice.
NEAR = Fraction(8, 10)
# "A third or more worn away" answered with no leaves less than a third.
JUST_UNDER_A_THIRD = Fraction(333, 1000)
LOSS_WORDS = {
    "outer_wire_loss": "how much of the outer wires' diameter is worn away",
    "strength_loss": "the loss of strength by non-destructive testing",
}


def apply_criterion(
    criterion: Criterion, rope: RopeFacts, seen: RopeObservation
) -> CriterionResult:
    """The verdict of one criterion, with its figures and what is missing.

    A criterion whose facts are not known is computed all the same: not met holds whatever they
    are; anything else cannot be decided.
    """
    applies = criterion.applies(rope)
    if applies is False:
        return _without_figures(criterion, Verdict.DOES_NOT_APPLY)
    if criterion.off:
        return _without_figures(criterion, Verdict.SWITCHED_OFF, (criterion.off,))
    if criterion.only_if_measured and getattr(seen, criterion.indicator, None) is None:
        return _without_figures(criterion, Verdict.DOES_NOT_APPLY)
    result = _measured(criterion, rope, seen) if criterion.limit else _looked(criterion, seen)
    if applies or result.verdict is Verdict.NOT_MET:
        return result
    return _undecided(result, criterion.unknown_facts(rope))


def _undecided(result: CriterionResult, facts: tuple[str, ...]) -> CriterionResult:
    kept = {name: getattr(result, name) for name in result.__dataclass_fields__}
    missing = tuple(dict.fromkeys((*facts, *result.missing)))
    kept |= {"verdict": Verdict.CANNOT_BE_DECIDED, "outcome": Outcome.UNDECIDED, "missing": missing}
    return CriterionResult(**kept)


def _without_figures(
    criterion: Criterion, verdict: Verdict, missing: tuple[str, ...] = ()
) -> CriterionResult:
    outcome = Outcome.UNDECIDED if verdict is Verdict.SWITCHED_OFF else Outcome.KEEP
    return _result(criterion, verdict, outcome, missing=missing, limit=criterion.limit_text)


def _result(
    criterion: Criterion, verdict: Verdict, outcome: Outcome, **figures: object
) -> CriterionResult:
    said = {"note": criterion.note, "comparator": criterion.comparator} | figures
    return CriterionResult(
        slug=criterion.slug, words=criterion.words, clause=criterion.clause, verdict=verdict,
        outcome=outcome, verified=criterion.verified, action=criterion.action,
        **said,  # type: ignore[arg-type]
    )  # fmt: skip


def _looked(criterion: Criterion, seen: RopeObservation) -> CriterionResult:
    """A condition: one seen is enough; "not met" needs every one looked for and not seen."""
    said = {name: seen.seen(name) for name in criterion.conditions}
    if True in said.values():
        return _result(
            criterion, Verdict.MET, criterion.outcome, value="present", limit="not present"
        )
    if None in said.values():
        missing = (f"whether there is {criterion.condition_words}",)
        return _result(
            criterion, Verdict.CANNOT_BE_DECIDED, Outcome.UNDECIDED,
            limit="not present", missing=missing,
        )  # fmt: skip
    return _result(
        criterion, Verdict.NOT_MET, Outcome.KEEP, value="not present", limit="not present"
    )


def _measured(criterion: Criterion, rope: RopeFacts, seen: RopeObservation) -> CriterionResult:
    rule = criterion.limit
    assert rule is not None  # the caller made sure
    limit = rule.for_rope(rope)
    bounds = _bounds(criterion, rule, rope, seen)
    verdict = compare(bounds, criterion.comparator, limit)
    undecided = verdict is Verdict.CANNOT_BE_DECIDED
    outcomes = {Verdict.MET: criterion.outcome, Verdict.NOT_MET: Outcome.KEEP}
    closeness = _closeness(bounds, limit)
    return _result(
        criterion, verdict, outcomes.get(verdict, Outcome.UNDECIDED),
        value=value_text(bounds, limit, rule.unit),
        limit=limit_figure(limit, rule.unit) or rule.text,
        margin=margin_text(bounds, limit, rule.unit),
        missing=tuple(dict.fromkeys(bounds.missing + limit.missing)) if undecided else (),
        near=_near(criterion, bounds, closeness),
        note=" ".join(part for part in (criterion.note, *bounds.notes) if part),
        closeness="" if closeness is None else str(closeness),
    )  # fmt: skip


def _bounds(
    criterion: Criterion, rule: LimitRule, rope: RopeFacts, seen: RopeObservation
) -> Bounds:
    if criterion.wanted:
        return count_bounds(rope, seen, criterion.wanted)
    if criterion.indicator == "diameter_loss":
        return diameter_loss(rope, seen, criterion.reference, rule.dimension == "length")
    measured: Quantity | None = getattr(seen, criterion.indicator)
    missing = (LOSS_WORDS[criterion.indicator],)
    if measured is not None:
        return Bounds(measured.si, measured.si)
    worn = seen.seen("outer_wires_worn") if criterion.indicator == "outer_wire_loss" else None
    if worn is None:
        return Bounds(Fraction(0), None, missing)
    if worn:
        return Bounds(Fraction(1, 3), None, missing)
    return Bounds(Fraction(0), JUST_UNDER_A_THIRD)


def _closeness(bounds: Bounds, limit: Limit) -> Fraction | None:
    value = bounds.reading if bounds.reading is not None else bounds.low
    return value / limit.low if limit.low else None


def _near(criterion: Criterion, bounds: Bounds, closeness: Fraction | None) -> bool:
    """Near its limit: any broken wire, or 80 % of a limit in another figure."""
    if criterion.wanted:
        return bounds.low > 0 or bounds.high is None or bounds.high > 0
    return closeness is not None and closeness >= NEAR
