"""Read one check of a regime file and refuse what cannot be asked or judged. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from inspections.regime_shapes import ANSWERS, LIMIT_PLACES, OUTCOMES, PHOTOS, Check
from rigging.engine.limit_set_files import printed_limit
from venue.kind_files import Source
from venue.quantities import DIMENSIONS, UNITS, Quantity, UnreadableQuantity, read_quantity

SLUG = re.compile(r"[a-z0-9_]{2,80}")
LONGEST_QUESTION = 300
LONGEST_LINE = 200


def read_check(raw: Mapping[str, Any], sources: Mapping[str, Source]) -> Check:
    """The check, or ValueError saying which check and what is wrong with it."""
    slug = raw["slug"]
    try:
        refuse(SLUG.fullmatch(slug) is None, "the slug is lower-case letters, digits and _")
        if strange := sorted(set(raw) - set(Check.__dataclass_fields__)):
            raise ValueError(f"unknown key {', '.join(strange)}")
        check = _made(raw, sources)
        for rule in (_words_fault, _answer_fault, _limit_fault, _outcome_fault):
            fault = rule(check)
            refuse(bool(fault), fault)
    except KeyError as fault:
        raise ValueError(f"check {slug!r}: {fault} is missing") from fault
    except ValueError as fault:
        raise ValueError(f"check {slug!r}: {fault}") from fault
    return check


def refuse(fault: bool, sentence: str) -> None:
    if fault:
        raise ValueError(sentence)


def _made(raw: Mapping[str, Any], sources: Mapping[str, Source]) -> Check:
    refuse(raw["source"] not in sources, f"source {raw['source']!r} is not in the file")
    known(raw["answer"], ANSWERS, "answer")
    known(raw["on_fail"], OUTCOMES, "on_fail")
    given: dict[str, Any] = dict(raw)
    given["source"] = sources[raw["source"]]
    given["choices"] = tuple(raw.get("choices", ()))
    given["dimension"] = raw.get("dimension", "")
    known_units(given)
    for side in ("minimum", "maximum"):
        given[side] = _limit(raw.get(side), given["dimension"], side)
    return Check(**given)


def known(given: str, allowed: tuple[str, ...], what: str) -> None:
    refuse(given not in allowed, f"{what} {given!r} is not one of {', '.join(allowed)}")


def known_units(given: Mapping[str, Any]) -> None:
    dimension = given["dimension"]
    if not dimension:
        return
    known(dimension, DIMENSIONS, "dimension")
    for name in ("unit_metric", "unit_us"):
        code = given[name]
        fits = code in UNITS and UNITS[code].serves(dimension)
        refuse(not fits, f"{code!r} is not a unit of {dimension}")


def _limit(text: str | None, dimension: str, side: str) -> Quantity | None:
    if text is None:
        return None
    refuse(not dimension, f"a {side} needs a dimension")
    try:
        return read_quantity(text, dimension, allow_negative=True)
    except UnreadableQuantity as fault:
        raise ValueError(f"{side} {text!r} is not a {dimension}: {fault}") from fault


def _words_fault(check: Check) -> str:
    if not 8 <= len(check.question) <= LONGEST_QUESTION:
        return f"the question has 8 to {LONGEST_QUESTION} characters"
    if len(check.instruction) > LONGEST_LINE or len(check.fail_note) > LONGEST_LINE:
        return f"instruction and note are one line, {LONGEST_LINE} characters at most"
    return ""


def _answer_fault(check: Check) -> str:
    measured = check.answer in ("measured", "count")
    if measured != bool(check.dimension):
        return "a dimension goes with a measured or counted answer"
    if (check.answer == "count") != (check.dimension == "count"):
        return "a count has the dimension count, and nothing else has"
    if (check.answer == "choice") != bool(check.choices):
        return "choices go with a choice"
    if check.answer == "rope" and check.part_kind != "wire_rope":
        return "a rope observation is asked of each wire_rope"
    if check.photo not in PHOTOS:
        return f"photo is one of {', '.join(PHOTOS)}"
    if check.answer == "photo" and check.photo != "required":
        return "an answer by photograph needs photo = required"
    return ""


def _limit_fault(check: Check) -> str:
    low, high = check.minimum, check.maximum
    if low and high and (low.scale != high.scale or low.si > high.si):
        return "the minimum lies above the maximum, or on another scale"
    if not (low or high or check.limits_from):
        return ""
    if not check.limit_text:
        return "a limit is also said in words, in limit_text"
    if check.source.verified == "from memory":
        return "a limit known only from memory is not used: find the document or leave it out"
    return _half_known_fault(check) or _printed_limit_fault(check)


def _printed_limit_fault(check: Check) -> str:
    """The figures stand in the regime, so that a frozen one carries them; where they repeat a
    printed limit they are the same, or the regime is refused."""
    if not check.limit_of:
        return ""
    limit = printed_limit(check.limit_of)
    if limit is None or limit.off:
        return f"limit_of: there is no printed limit {check.limit_of!r} in use"
    ends = ((check.minimum, limit.at_least), (check.maximum, limit.at_most))
    for given, bound in ends:
        printed = bound.figure if bound else None
        if printed is None and (bound or (given and given.si != 0)):
            return f"limit_of: {check.limit_of} prints no such figure"
        if printed and (given is None or (given.si, given.scale) != (printed.si, printed.scale)):
            return f"limit_of: {check.limit_of} prints {printed}, not {given}"
    return ""


def _half_known_fault(check: Check) -> str:
    """A figure on one side must not pass a reading while the other side is still missing."""
    for place in check.limits_from:
        if place.partition(":")[0] not in LIMIT_PLACES or not place.partition(":")[2]:
            return f"{place!r} is not like field:name, part:name or load:purpose"
    if any(place.startswith("part:") for place in check.limits_from) and not check.part_kind:
        return "a limit of a part needs part_kind"
    missing_low = bool(check.minimum_from) and check.minimum is None
    missing_high = bool(check.maximum_from) and check.maximum is None
    if (missing_low and check.maximum) or (missing_high and check.minimum):
        return "one limit is a figure and the other may be missing: a reading would pass by half"
    return ""


def _outcome_fault(check: Check) -> str:
    if check.on_fail == "imminent_risk" and not check.out_of_service:
        return "an imminent risk puts the equipment out of service"
    if check.out_of_service and check.on_fail not in ("not_used_until_cured", "imminent_risk"):
        return f"out of service and {check.on_fail} contradict each other"
    return ""
