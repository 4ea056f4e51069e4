"""Reads what a stagehand types into the exact SI values of a calculator. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from rigging.calculators.contract import BadValue, Calculator, Given, Input, Value
from venue.quantities import DIMENSIONS, Quantity, UnreadableQuantity, read_quantity, units_of
from venue.quantity_units import GRAVITY

BARE_FRACTION = re.compile(r"[0-9 ]*[0-9]\s*[/⁄]\s*[0-9]+|[0-9]*\s*[½¼¾⅓⅔⅛⅜⅝⅞]")
BETWEEN_TWO = re.compile(r"\s+(?:at|by|from|to)\s+|\s*@\s*", re.IGNORECASE)
LONGEST_LIST = 40


class Typed(Given):
    """Values read from typed text, with what had to be taken for granted in reading them."""

    notes: tuple[str, ...] = ()


def read_values(calculator: Calculator, typed: Mapping[str, str]) -> Typed:
    """The values of the filled fields; empty ones are missing. Raises BadValue for the first that
    cannot be read. Fields left out of `typed` get their default; emptied ones do not."""
    for slug in typed:
        if calculator.input(slug) is None:
            known = ", ".join(one.slug for one in calculator.inputs)
            raise BadValue(slug, f"“{slug}” is not asked here; asked are {known}.")
    read, faults = read_fields(calculator, typed)
    for slug, sentence in faults.items():
        raise BadValue(slug, sentence)
    return read


def read_fields(calculator: Calculator, typed: Mapping[str, str]) -> tuple[Typed, dict[str, str]]:
    """What can be read of the fields, and a sentence by slug for what cannot."""
    values: dict[str, Value] = {}
    words: dict[str, str] = {}
    notes: list[str] = []
    faults: dict[str, str] = {}
    for asked in calculator.inputs:
        text = typed.get(asked.slug, asked.default).strip()
        if not text:
            continue
        try:
            values[asked.slug] = read_value(asked, text, notes)
            words[asked.slug] = _words(asked, text)
        except BadValue as fault:
            faults[asked.slug] = fault.sentence
    read = Typed(values, words)
    read.notes = tuple(dict.fromkeys(notes))
    return read, faults


def _words(asked: Input, text: str) -> str:
    if asked.dimension == "choice":
        return dict(asked.choices).get(text, text)
    if _is_bare_fraction(asked, text):
        return f"{text} in"
    return text


def read_value(asked: Input, text: str, notes: list[str]) -> Value:
    """One field: a choice, a value, a list of values or of pairs. Raises BadValue."""
    try:
        if asked.dimension == "choice":
            return text
        if not asked.many:
            return _one(asked, text, notes)
        lines = [line.strip() for line in re.split(r"[;\n]", text) if line.strip()]
        if len(lines) > LONGEST_LIST:
            raise UnreadableQuantity(f"Type {LONGEST_LIST} values at most.")
        return tuple(_one(asked, line, notes) for line in lines)
    except UnreadableQuantity as fault:
        raise BadValue(asked.slug, str(fault)) from fault


def _one(asked: Input, text: str, notes: list[str]) -> Value:
    if isinstance(asked.dimension, str):
        return _quantity(asked, asked.dimension, text, notes)
    parts = BETWEEN_TWO.split(text)
    if len(parts) != len(asked.dimension):
        raise UnreadableQuantity(f"Type it like: {asked.hint or '200 lb at 27 ft'}.")
    return tuple(
        _quantity(asked, dimension, part, notes)
        for dimension, part in zip(asked.dimension, parts, strict=True)
    )


def _quantity(asked: Input, dimension: str, text: str, notes: list[str]) -> Fraction | Quantity:
    if dimension == "load":
        return _load(asked, text, notes)
    if dimension == "measure":
        return _measure(asked, text)
    if dimension == "number":
        return read_quantity(text, "ratio", "x", asked.negative).si
    if _is_bare_fraction(asked, text):
        text = f"{text} in"
    try:
        return read_quantity(text, dimension, asked.bare or None, asked.negative).si
    except UnreadableQuantity:
        if dimension == "force" and (weight := _as_mass(text, asked.negative)):
            raise UnreadableQuantity(
                f"“{weight.unit}” is a mass and this is a force: type lbf, kgf, kN or N."
            ) from None
        raise


def _load(asked: Input, text: str, notes: list[str]) -> Fraction:
    if weight := _as_mass(text, asked.negative):
        notes.append(
            "What was typed in lb, kg or t hangs still: its weight is mass × 9.80665 m/s²."
        )
        return weight.si * GRAVITY
    try:
        return read_quantity(text, "force", asked.bare or None, asked.negative).si
    except UnreadableQuantity as fault:
        masses = ", ".join(unit.code for unit in units_of("mass"))
        raise UnreadableQuantity(f"{fault} A weight in {masses} is read too.") from fault


def _measure(asked: Input, text: str) -> Quantity:
    """A value of whatever kind its unit is of."""
    for dimension in DIMENSIONS:
        try:
            found = read_quantity(text, dimension, None, asked.negative)
        except UnreadableQuantity:
            continue
        if dimension != "count":
            return found
    raise UnreadableQuantity("Type a number and its unit, like 9.5 mm, 495 lb or 2.2 kN.")


def _as_mass(text: str, negative: bool) -> Quantity | None:
    try:
        return read_quantity(text, "mass", None, negative)
    except UnreadableQuantity:
        return None


def _is_bare_fraction(asked: Input, text: str) -> bool:
    return asked.dimension == "length" and bool(BARE_FRACTION.fullmatch(text.strip()))
