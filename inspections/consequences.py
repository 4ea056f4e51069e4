"""What follows from a judged answer. Pure: which finding, with which grade, and which order."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from inspections.regime_shapes import Check
from rigging.engine import STATES as JUDGED_STATES

# From best to worst: the engine's order, below it what nobody judged. "cannot be decided" is worse
# than "watch": what is not known is not a pass.
STATES = ("not judged", *JUDGED_STATES)

GRADES = ("not_used_until_cured", "used_until_date", "restricted", "observation", "imminent_risk")
STRICT_GRADES = ("not_used_until_cured", "imminent_risk")

# A house figure where neither the regime nor the person gives a day. Source: common practice.
HOUSE_DAYS_TO_CURE = 28
# A day further off than this bars nothing that anybody will live to see. Source: common practice.
MOST_DAYS_TO_CURE = 366

ORDER_FOR = {
    "not_used_until_cured": "out_of_service",
    "imminent_risk": "out_of_service",
    "used_until_date": "barred_from",
    "restricted": "restricted",
}


class TooMild(ValueError):
    """The grade chosen is milder than the verdict allows."""


@dataclass(frozen=True)
class Consequence:
    grade: str
    order: str | None
    bites_on: date | None
    cured_by: date | None
    restriction: str


def why_still_open(may_sign: bool, given: Collection[str], early: bool = False) -> str:
    """Why a task stays open after a record with these answers; empty: it is done. `early`: it was
    done too long before its fixed day to be the check of that day.

    >>> why_still_open(True, ["yes", "not_applicable"])
    ''
    """
    if nothing_applied(given):
        return "nothing was looked at, every answer is “not applicable”"
    if "could_not_look" in given:
        return "not everything could be looked at"
    if early:
        return "it was done too early to count for that day"
    return "" if may_sign else "this person may record, and may not sign"


def nothing_applied(given: Collection[str]) -> bool:
    """Whether a record says of everything that it does not apply. It then proves nothing done."""
    return all(each == "not_applicable" for each in given)


def worst(states: list[str]) -> str:
    """The worst of several states; of nothing, "not judged".

    >>> worst(["fit", "cannot be decided", "watch"])
    'cannot be decided'
    """
    return max(states, key=STATES.index, default="not judged")


def consequence_of(
    check: Check, state: str, said: Mapping[str, str], today: date
) -> Consequence | None:
    """The finding and order that a judged answer leads to, or None.

    `said` may hold what a person chose: grade, cured_by (ISO date), restriction. A person may be
    stricter than the rule, never milder: raises TooMild.
    """
    if state not in ("restrict", "out of service", "retire", "watch"):
        return None
    chosen = said.get("grade", "")
    grade = chosen if chosen in GRADES else _usual_grade(check, state)
    if state == "watch" and grade != chosen and check.on_fail != "observation":
        return None  # close to a limit but inside it: shown and kept, nothing is wrong yet
    if state in ("out of service", "retire") and grade not in STRICT_GRADES:
        raise TooMild("The verdict is out of service; the grade cannot be milder than that.")
    if state == "restrict" and grade == "observation":
        raise TooMild("This is not in order; an observation alone would leave it in use as it is.")
    return _with_dates(grade, check, said, today)


def _usual_grade(check: Check, state: str) -> str:
    if state in ("out of service", "retire"):
        return "imminent_risk" if check.on_fail == "imminent_risk" else "not_used_until_cured"
    return check.on_fail


def _with_dates(grade: str, check: Check, said: Mapping[str, str], today: date) -> Consequence:
    order = ORDER_FOR.get(grade)
    cured_by = None
    if grade == "used_until_date":
        cured_by = _day(said.get("cured_by", "")) or today + timedelta(days=HOUSE_DAYS_TO_CURE)
        if cured_by > today + timedelta(days=MOST_DAYS_TO_CURE):
            raise TooMild(f"It cannot be used until {cured_by}: choose a day within a year.")
    restriction = ""
    if grade == "restricted":
        restriction = (
            said.get("restriction")
            or check.fail_note
            or "Only as a competent person allows in writing"
        )
    bites_on = cured_by + timedelta(days=1) if cured_by else (today if order else None)
    return Consequence(grade, order, bites_on, cured_by, restriction)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
