"""Apply one criterion to one rope and one observation. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.engine.bounds import Bounds, Limit, compare
from rigging.engine.figures import exact_percent, limit_figure, margin_text, value_text
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import RopeFacts
from rigging.engine.rulesets import Criterion
from rigging.engine.severities import graded, severity_text
from rigging.engine.values import value_bounds
from rigging.engine.verdicts import CriterionResult, Outcome, Verdict

# A value at or above this part of its limit is near it. Our own margin, common practice.
NEAR = Fraction(8, 10)


def apply_criterion(
    criterion: Criterion, rope: RopeFacts, seen: RopeObservation
) -> CriterionResult:
    """The verdict of one criterion, with its figures and what is missing.

    A criterion whose facts are not known is computed all the same: not met holds whatever they
    are; anything else cannot be decided.
    """
    applies = criterion.applies(rope)
    if applies is False:
        return without_figures(criterion, Verdict.DOES_NOT_APPLY)
    if criterion.off:
        return without_figures(criterion, Verdict.SWITCHED_OFF, (criterion.off,))
    if criterion.only_if_measured and getattr(seen, criterion.indicator, None) is None:
        return without_figures(criterion, Verdict.DOES_NOT_APPLY)
    result = _measured(criterion, rope, seen) if criterion.limit else _looked(criterion, seen)
    if applies or result.verdict is Verdict.NOT_MET:
        return result
    return undecided(result, criterion.unknown_facts(rope))


def undecided(result: CriterionResult, facts: tuple[str, ...]) -> CriterionResult:
    kept = {name: getattr(result, name) for name in result.__dataclass_fields__}
    missing = tuple(dict.fromkeys((*facts, *result.missing)))
    kept |= {"verdict": Verdict.CANNOT_BE_DECIDED, "outcome": Outcome.UNDECIDED}
    kept |= {"missing": missing, "asks": ""}
    return CriterionResult(**kept)


def without_figures(
    criterion: Criterion, verdict: Verdict, missing: tuple[str, ...] = ()
) -> CriterionResult:
    outcome = Outcome.UNDECIDED if verdict is Verdict.SWITCHED_OFF else Outcome.KEEP
    return _result(criterion, verdict, outcome, missing=missing, limit=criterion.limit_text)


def _result(
    criterion: Criterion, verdict: Verdict, outcome: Outcome, **figures: object
) -> CriterionResult:
    figures.setdefault("note", criterion.note)
    return CriterionResult(
        slug=criterion.slug, words=criterion.words, clause=criterion.clause, verdict=verdict,
        outcome=outcome, verified=criterion.verified, action=criterion.action,
        comparator=criterion.comparator, **figures,  # type: ignore[arg-type]
    )  # fmt: skip


def _looked(criterion: Criterion, seen: RopeObservation) -> CriterionResult:
    """A condition: one seen is enough; "not met" needs every one looked for and not seen."""
    said = {name: seen.seen(name) for name in criterion.conditions}
    if True in said.values():
        graded_as = "" if criterion.severity is None else exact_percent(criterion.severity)
        return _result(
            criterion, Verdict.MET, criterion.outcome, value="present", limit="not present",
            severity=graded_as, asks=criterion.asks,
        )  # fmt: skip
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
    limit = rule.for_rope(rope, seen)
    bounds = value_bounds(criterion, rope, seen)
    return finished(criterion, bounds, limit)


def finished(criterion: Criterion, bounds: Bounds, limit: Limit) -> CriterionResult:
    """The result of comparing a value with its limit, with its figures for the eye."""
    rule = criterion.limit
    assert rule is not None  # the callers made sure
    verdict = compare(bounds, criterion.comparator, limit)
    undecided = verdict is Verdict.CANNOT_BE_DECIDED
    outcomes = {Verdict.MET: criterion.outcome, Verdict.NOT_MET: Outcome.KEEP}
    closeness = _closeness(criterion, bounds, limit)
    severity = graded(rule, bounds, limit) if rule.bands else None
    return _result(
        criterion, verdict, outcomes.get(verdict, Outcome.UNDECIDED),
        value=value_text(bounds, limit, rule.unit),
        limit=limit_figure(limit, rule.unit) or rule.text,
        margin=margin_text(bounds, limit, rule.unit, criterion.comparator),
        missing=tuple(dict.fromkeys(bounds.missing + limit.missing)) if undecided else (),
        near=_near(criterion, bounds, closeness) or (severity is not None and severity.low > 0),
        note=" ".join(part for part in (criterion.note, *bounds.notes) if part),
        closeness=Fraction(0) if closeness is None else closeness,
        severity=severity_text(severity) if severity else "",
        asks=criterion.asks if verdict is Verdict.MET else "",
    )  # fmt: skip


def _closeness(criterion: Criterion, bounds: Bounds, limit: Limit) -> Fraction | None:
    value = bounds.reading if bounds.reading is not None else bounds.low
    if criterion.comparator in ("<", "<="):
        return limit.low / value if limit.low and value > 0 else None
    return value / limit.low if limit.low else None


def _near(criterion: Criterion, bounds: Bounds, closeness: Fraction | None) -> bool:
    """Near its limit: any broken wire, or 80 % of a limit in another figure. A factor that the
    designer chose is not near anything."""
    if criterion.indicator == "design_factor":
        return False
    if criterion.wanted:
        return bounds.low > 0 or bounds.high is None or bounds.high > 0
    return closeness is not None and closeness >= NEAR
