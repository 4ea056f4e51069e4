"""Answer readings held against printed limits, from the JSON that docs/judge.md describes. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rigging.engine.limit_set_files import printed_limit
from rigging.engine.limit_sets import PrintedLimit, judge_printed_limit
from rigging.engine.rope import FaultyFact
from rigging.engine.two_points import FilterTest, judge_two_points
from rigging.engine.verdicts import Judgement
from venue.quantities import DIMENSIONS, Quantity, UnreadableQuantity, read_quantity

KNOWN = ("limit", "reading", "uncertainty", "facts", "filters")
FILTERS = ("lower", "lower_alarmed", "upper", "upper_alarmed")


def judge_readings(asked: object) -> list[Judgement]:
    """One judgement for each reading. Raises FaultyFact, which names the field.

    >>> judge_readings([{"limit": "access-us:guardrail-height", "reading": "38 in"}])[0].state
    'restrict'
    """
    if not isinstance(asked, list) or not asked:
        raise FaultyFact("readings", "is a list of objects, at least one.")
    return [_judged(each, f"readings[{place}]") for place, each in enumerate(asked)]


def _judged(said: object, where: str) -> Judgement:
    if not isinstance(said, Mapping):
        raise FaultyFact(where, "is not an object.")
    _refuse_unknown(said, KNOWN, where)
    limit = printed_limit(str(said.get("limit", "")))
    if limit is None:
        raise FaultyFact(f"{where}.limit", f"{said.get('limit')!r} is no printed limit.")
    facts = _facts(said.get("facts") or {}, limit, where)
    if limit.two_points:
        return judge_two_points(limit, _filters(said.get("filters") or {}, limit, where), facts)
    reading, doubt = (
        _quantity(said.get(name), limit.dimension, f"{where}.{name}")
        for name in ("reading", "uncertainty")
    )
    return judge_printed_limit(limit, reading, facts, doubt)


def _facts(said: object, limit: PrintedLimit, where: str) -> dict[str, Quantity | None]:
    if not isinstance(said, Mapping):
        raise FaultyFact(f"{where}.facts", "is an object of names and quantities.")
    _refuse_unknown(said, limit.facts, f"{where}.facts")
    return {
        name: _quantity(value, limit.dimension, f"{where}.facts.{name}")
        for name, value in said.items()
    }


def _filters(said: object, limit: PrintedLimit, where: str) -> FilterTest:
    if not isinstance(said, Mapping):
        raise FaultyFact(f"{where}.filters", "is an object.")
    _refuse_unknown(said, FILTERS, f"{where}.filters")
    for name in ("lower_alarmed", "upper_alarmed"):
        if said.get(name) not in (True, False, None):
            raise FaultyFact(f"{where}.filters.{name}", "is true, false or null.")
    lower, upper = (
        _quantity(said.get(name), limit.dimension, f"{where}.filters.{name}")
        for name in ("lower", "upper")
    )
    return FilterTest(lower, said.get("lower_alarmed"), upper, said.get("upper_alarmed"))


def _quantity(value: object, dimension: str, where: str) -> Quantity | None:
    if value is None:
        return None
    assert dimension in DIMENSIONS
    if not isinstance(value, str):
        raise FaultyFact(where, 'is text with its unit, like "39 in", not a bare number.')
    try:
        return read_quantity(value, dimension, allow_negative=True)
    except UnreadableQuantity as fault:
        raise FaultyFact(where, str(fault)) from fault


def _refuse_unknown(said: Mapping[Any, Any], known: tuple[str, ...], where: str) -> None:
    for name in said:
        if name not in known:
            raise FaultyFact(f"{where}.{name}", f"is not one of {', '.join(known) or 'anything'}.")
