"""The two-filter test of a beam detector: no alarm below its alarm level, an alarm above it. Pure.

Method: two manuals of beam detectors, printed as the level minus ten for a minute without alarm or
fault, and the level plus ten with an alarm within a minute. Both halves count; one is no test.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from rigging.engine.limit_sets import Facts, PrintedLimit, undecided, with_outcome
from rigging.engine.verdicts import Judgement, Outcome, Verdict
from venue.quantities import Quantity


@dataclass(frozen=True)
class FilterTest:
    """What was held in the beam and what the panel did. None: not done or not written down."""

    lower: Quantity | None = None
    lower_alarmed: bool | None = None
    upper: Quantity | None = None
    upper_alarmed: bool | None = None


def judge_two_points(limit: PrintedLimit, test: FilterTest, facts: Facts) -> Judgement:
    """Whether a detector keeps silent below its level and alarms above it.

    A filter on the wrong side of the level proves nothing. A silent detector with a filter far
    above its level is blind all the same, and one that alarms far below it is too keen.
    """
    level = facts.get(limit.two_points)
    missing = _missing(limit, test, level)
    if limit.off or missing or level is None:
        return undecided(limit, test.lower, (limit.off,) if limit.off else missing)
    strange = [each for each in (test.lower, test.upper) if each and each.scale != level.scale]
    if strange:
        return undecided(limit, strange[0], (f"a filter that can be compared with {level}",))
    faults = _faults(test, level)
    doubts = () if faults else _doubts(limit, test, level)
    if doubts:
        return undecided(limit, test.lower, doubts)
    return with_outcome(limit, _judged(limit, test, level, faults))


def _missing(limit: PrintedLimit, test: FilterTest, level: Quantity | None) -> tuple[str, ...]:
    needed = {
        f"the {limit.two_points.replace('_', ' ')}": level,
        "the filter below the level": test.lower,
        "whether it alarmed with the filter below the level": test.lower_alarmed,
        "the filter above the level": test.upper,
        "whether it alarmed with the filter above the level": test.upper_alarmed,
    }
    return tuple(words for words, value in needed.items() if value is None)


def _faults(test: FilterTest, level: Quantity) -> list[str]:
    assert test.lower is not None
    assert test.upper is not None
    faults = []
    if test.lower_alarmed and test.lower.si < level.si:
        faults.append("it alarmed below its level")
    if not test.upper_alarmed and test.upper.si > level.si:
        faults.append("it did not alarm above its level")
    return faults


def _doubts(limit: PrintedLimit, test: FilterTest, level: Quantity) -> tuple[str, ...]:
    """What keeps a test without a fault from being a pass."""
    assert test.lower is not None
    assert test.upper is not None
    most = limit.within
    below, above = level.si - test.lower.si, test.upper.si - level.si
    found = []
    if below <= 0 or (most is not None and below > most):
        found.append(f"a test with a filter just below {level}, not {test.lower}")
    if above <= 0 or (most is not None and above > most):
        found.append(f"a test with a filter just above {level}, not {test.upper}")
    return tuple(found)


def _judged(
    limit: PrintedLimit, test: FilterTest, level: Quantity, faults: list[str]
) -> Judgement:  # fmt: skip
    return replace(
        undecided(limit, None, ()),
        verdict=Verdict.MET if faults else Verdict.NOT_MET,
        state="out of service" if faults else "fit",
        outcome=Outcome.OUT_OF_SERVICE if faults else Outcome.KEEP,
        value=f"{test.lower} and {test.upper} against {level}",
        margin=" and ".join(faults),
    )
