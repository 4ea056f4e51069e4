"""One criterion on one rope: met, not met, cannot be decided, or it does not apply."""

from __future__ import annotations

import operator
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tests.second_engine.criteria import (
    MET,
    NOT_MET,
    SWITCHED_OFF,
    UNDECIDED,
    condition_verdict,
    does_apply,
    value_of,
)
from tests.second_engine.limits import Limit, as_figure, limit_of
from tests.second_engine.severities import combined
from tests.second_engine.wires import Range

ZERO = Fraction(0)
SIGNS: dict[str, Callable[[Fraction, Fraction], bool]] = {
    ">": operator.gt, ">=": operator.ge, "<": operator.lt, "<=": operator.le,
}  # fmt: skip


@dataclass(frozen=True)
class Result:
    clause: str
    verdict: str
    state: str
    closeness: Fraction = ZERO


def compare(value: Range, comparator: str, limit: Limit | None) -> str:
    if limit is None:
        _, high = value
        below = high is not None and high <= 0 and comparator in (">", ">=")
        return NOT_MET if below else UNDECIDED
    # Every figure that the value can be against every figure that the limit can be.
    tried = {holds(v, comparator, edge) for v in ends(value) for edge in ends(limit)}
    if tried == {True}:
        return MET
    return NOT_MET if tried == {False} else UNDECIDED


def ends(reach: tuple[Any, Any]) -> tuple[Any, ...]:
    """Both ends, or the one figure that it is."""
    return reach[:1] if reach[0] is reach[1] else reach


def holds(value: Fraction | None, comparator: str, limit: Fraction) -> bool:
    """A high that is not known is higher than every limit."""
    if value is None:
        return comparator in (">", ">=")
    return SIGNS[comparator](value, limit)


def judged(
    criterion: dict[str, Any], rules: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]
) -> Result | None:
    """None where the criterion does not apply."""
    applies = does_apply(criterion, rope, seen)
    if applies is False:
        return None
    if criterion.get("off"):
        return Result(criterion["clause"], SWITCHED_OFF, UNDECIDED)
    if criterion["indicator"] == "condition":
        return result_of(criterion, applies, condition_verdict(criterion, seen), False, ZERO)
    summed = criterion["indicator"] == "combined_severity"
    read = (combined(criterion, rules, rope, seen), None) if summed else None
    value, reading = read or value_of(criterion, rope, seen)
    limit = limit_of(criterion, rules, rope, seen)
    verdict = compare(value, criterion["comparator"], limit)
    close = closeness(value[0] if reading is None else reading, criterion["comparator"], limit)
    return result_of(criterion, applies, verdict, is_near(criterion, value, close), close or ZERO)


def closeness(value: Fraction, comparator: str, limit: Limit | None) -> Fraction | None:
    over, under = (value, limit[0]) if limit else (ZERO, ZERO)
    if comparator in ("<", "<="):
        over, under = under, over
    return None if limit is None or under == 0 else over / under


def is_near(criterion: dict[str, Any], value: Range, close: Fraction | None) -> bool:
    indicator = criterion["indicator"]
    if indicator == "broken_wires":
        return value[1] is None or value[1] > 0
    if indicator == "design_factor":
        return False
    if "bands" in criterion["limit"]:
        return value[0] >= as_figure(criterion["limit"]["bands"][0][0])
    return close is not None and close >= Fraction(8, 10)


def result_of(
    criterion: dict[str, Any], applies: bool | None, verdict: str, near: bool, close: Fraction
) -> Result:
    if applies is None and verdict == MET:
        verdict = UNDECIDED
    state = {MET: criterion["outcome"], UNDECIDED: UNDECIDED, NOT_MET: "watch" if near else "fit"}
    return Result(criterion["clause"], verdict, state[verdict], close)
