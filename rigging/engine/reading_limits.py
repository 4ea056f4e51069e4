"""Judge one reading against the limit of a check. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.engine.figures import PLACES, in_unit, shown, with_unit
from rigging.engine.verdicts import CriterionResult, Judgement, Outcome, Verdict
from venue.quantities import Quantity, show_exact

# Within this part of the limit (or of the range between two limits) a reading is watched.
# Our own margin, common practice.
NEAR = Fraction(5, 100)


def judge_limit(
    reading: Quantity,
    minimum: Quantity | None,
    maximum: Quantity | None,
    uncertainty: Quantity | None,
    clause: str,
    source: str,
) -> Judgement:
    """Whether a reading keeps its limits. "Met" means that a limit is broken.

    Formula: minimum <= reading <= maximum, exactly, both included. Inside the instrument's
    uncertainty of a limit, on either side, it cannot be decided. A reading at a limit, or within
    5 % of it (of the range, where there are two), is watched; but nothing is better than none, so
    no loose bolt where none may be loose is not near anything, and a smallest value of zero under
    a reading that is not below zero bounds nothing. Without a stated uncertainty the reading is
    compared as read. Limits: a reading on another scale than its limit (an obscuration
    per foot against one per metre) cannot be decided. Source: the caller's, by clause.

    >>> from venue.quantities import read_quantity
    >>> gap, most = (read_quantity(text, "length") for text in ("6.1 mm", "6 mm"))
    >>> judge_limit(gap, None, most, None, "4.2", "house rule").state
    'out of service'
    >>> none = read_quantity("0", "count", "1")
    >>> judge_limit(none, none, none, None, "4.2", "house rule").state
    'fit'
    """
    limits = [(limit, sign) for limit, sign in ((minimum, -1), (maximum, 1)) if limit is not None]
    if not limits:
        return _said(reading, None, _undecided("a limit to compare with"), clause, source)
    for other in [limit for limit, _ in limits] + ([uncertainty] if uncertainty else []):
        if (other.dimension, other.scale) != (reading.dimension, reading.scale):
            missing = f"a reading that can be compared with {other.typed}"
            return _said(reading, limits[0], _undecided(missing), clause, source)
    doubt = abs(uncertainty.si) if uncertainty else Fraction(0)
    if maximum and minimum and minimum.si == 0 <= reading.si:
        limits = limits[1:]
    # How far beyond each limit: above zero is broken, below zero is kept.
    beyond = [((reading.si - limit.si) * sign, limit, sign) for limit, sign in limits]
    worst, limit, sign = max(beyond, key=lambda each: each[0])
    near = NEAR * abs(maximum.si - minimum.si if minimum and maximum else limit.si)
    found = _outcome(worst, doubt, near, uncertainty)
    return _said(reading, (limit, sign), found, clause, source, worst)


_Found = tuple[Verdict, Outcome, bool, tuple[str, ...]]


def _undecided(missing: str) -> _Found:
    return Verdict.CANNOT_BE_DECIDED, Outcome.UNDECIDED, False, (missing,)


def _outcome(
    beyond: Fraction, doubt: Fraction, near: Fraction, uncertainty: Quantity | None
) -> _Found:
    if doubt and abs(beyond) <= doubt:
        typed = uncertainty.typed if uncertainty else ""
        return _undecided(
            f"a finer reading: the limit lies within the instrument's uncertainty of {typed}"
        )
    if beyond > 0:
        return Verdict.MET, Outcome.OUT_OF_SERVICE, False, ()
    return Verdict.NOT_MET, Outcome.KEEP, near > 0 and -beyond <= near, ()


def _said(
    reading: Quantity,
    against: tuple[Quantity, int] | None,
    found: _Found,
    clause: str,
    source: str,
    beyond: Fraction | None = None,
) -> Judgement:
    verdict, outcome, near, missing = found
    limit, comparator, margin, value = "", "", "", reading.typed
    if against:
        comparator = "<" if against[1] < 0 else ">"
        limit = f"{'at least' if against[1] < 0 else 'at most'} {_typed(against[0])}"
    if beyond is not None and against:
        value = _beside(reading, against[0])
        margin = _margin(beyond, against[0])
    result = CriterionResult(
        slug="limit", words=f"the reading is {comparator or 'beyond'} the limit", clause=clause,
        verdict=verdict, outcome=outcome, value=value, limit=limit, comparator=comparator,
        margin=margin, missing=missing, near=near,
    )  # fmt: skip
    if result.state == "watch":
        outcome = Outcome.WATCH
    return Judgement(
        ruleset="limit", title=source, edition="", hash="", status="", verdict=verdict,
        state=result.state, outcome=outcome, words=result.words, clause=clause, value=value,
        limit=limit, comparator=comparator, margin=margin, missing=missing, results=(result,),
    )  # fmt: skip


def _typed(quantity: Quantity) -> str:
    """The quantity with its unit, exactly, even where only a number was typed."""
    return show_exact(quantity.si, quantity.unit)


def _beside(reading: Quantity, limit: Quantity) -> str:
    """The reading as typed; in the limit's unit too where that is another one."""
    if reading.unit == limit.unit:
        return _typed(reading)
    there = shown(
        in_unit(reading.si, limit.unit), in_unit(limit.si, limit.unit), PLACES.get(limit.unit, 4)
    )
    return f"{_typed(reading)} ({with_unit(there, limit.unit)})"


def _margin(beyond: Fraction, limit: Quantity) -> str:
    if beyond == 0:
        return "exactly at the limit"
    size = abs(in_unit(beyond, limit.unit))
    gap = with_unit(shown(size, Fraction(0), PLACES.get(limit.unit, 4)), limit.unit)
    return f"{gap} {'beyond' if beyond > 0 else 'inside'} the limit"
