"""Asks a calculator: bounds first, then what is missing, then the computation. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from rigging.calculators.contract import (
    BEYOND,
    UNDECIDED,
    WEAK_BACKINGS,
    WITHIN,
    Answer,
    BadValue,
    Calculator,
    Given,
    Input,
    Missing,
    Value,
)
from rigging.calculators.reading import Typed
from venue.quantities import Quantity

WORST_FIRST = (BEYOND, UNDECIDED, WITHIN)


def answer(calculator: Calculator, given: Mapping[str, Value]) -> Answer:
    """The answer for exact SI values by slug. Raises BadValue; a missing datum is no error: the
    answer then says what cannot be decided."""
    for slug, value in given.items():
        asked = calculator.input(slug)
        if asked is None:
            known = ", ".join(one.slug for one in calculator.inputs)
            raise BadValue(slug, f"“{slug}” is not asked here; asked are {known}.")
        check_value(asked, value)
    wanted = [one for one in calculator.inputs if not one.optional and one.slug not in given]
    if wanted:
        what = f"“{calculator.title}”"
        return Answer(cannot=tuple(Missing(what, one.label, one.slug) for one in wanted))
    kept = given if isinstance(given, Given) else Given(given)
    found = calculator.compute(kept)
    notes = given.notes if isinstance(given, Typed) else ()
    return replace(
        found,
        checks=tuple(sorted(found.checks, key=lambda check: WORST_FIRST.index(check.state))),
        assumptions=(*notes, *found.assumptions),
        warnings=(*_unverified(found), *found.warnings),
    )


def _unverified(found: Answer) -> tuple[str, ...]:
    """A limit that no document was read for says so, whichever way the check fell."""
    weak = [check.source for check in found.checks if check.source.backing in WEAK_BACKINGS]
    return tuple(
        f"Not verified: the limit from {source.document} is backed as {source.backing}."
        for source in dict.fromkeys(weak)
    )


def check_value(asked: Input, value: Value) -> None:
    """Refuses a value outside its bounds or its choices, with the sentence of the input."""
    if asked.dimension == "choice":
        if value not in [slug for slug, _ in asked.choices]:
            known = ", ".join(slug for slug, _ in asked.choices)
            raise BadValue(asked.slug, f"Choose one of: {known}.")
        return
    if isinstance(value, tuple):
        if not value:
            raise BadValue(asked.slug, "Type at least one value, or leave it out.")
        for one in value:
            check_value(asked, one)
        return
    if asked.dimension == "measure" and isinstance(value, Quantity):
        value = value.si
    if isinstance(value, bool | float) or not isinstance(value, int | Fraction):
        raise BadValue(asked.slug, "Give an exact number (int or Fraction), in SI.")
    if asked.bounds and not asked.bounds.hold(Fraction(value)):
        raise BadValue(asked.slug, asked.bounds.sentence)
