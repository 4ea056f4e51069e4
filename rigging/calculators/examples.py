"""Holds a calculator to its worked examples. Pure."""

from __future__ import annotations

import re
from fractions import Fraction

from rigging.calculators.answering import answer
from rigging.calculators.contract import Answer, BadValue, Calculator, Example, Figure
from rigging.calculators.reading import read_values
from rigging.calculators.showing import in_unit
from venue.quantity_units import GRAVITY, UNITS, find_unit

PRINTED = re.compile(r"(-?[0-9]+(?:\.([0-9]+))?) ?(.*)")


def faults_of_example(calculator: Calculator, example: Example) -> list[str]:
    """What does not agree with what is printed; each fault names the document and the clause."""
    try:
        found = answer(calculator, read_values(calculator, example.typed))
    except BadValue as fault:
        return [f"{example.source}: {example.name}: {fault.slug}: {fault.sentence}"]
    faults = [
        *_figure_faults(found, example), *_check_faults(found, example),
        *_missing_faults(found, example),
    ]  # fmt: skip
    return [f"{example.source}: {example.name}: {fault}" for fault in faults]


def _figure_faults(found: Answer, example: Example) -> list[str]:
    figures = {figure.slug: figure for figure in found.figures}
    faults = []
    for slug, printed in example.printed.items():
        if slug not in figures:
            faults.append(f"no figure “{slug}”")
        elif not agrees(figures[slug], printed, example.within):
            faults.append(f"{slug} is {_own(figures[slug], printed)}, printed is {printed}")
    return faults


def _check_faults(found: Answer, example: Example) -> list[str]:
    states = {check.slug: check.state for check in found.checks}
    return [
        f"check {slug} is {states.get(slug)}, printed is {state}"
        for slug, state in example.checks.items()
        if states.get(slug) != state
    ]


def _missing_faults(found: Answer, example: Example) -> list[str]:
    missing = {one.slug for one in found.cannot}
    return [f"{slug} is not named as missing" for slug in example.cannot if slug not in missing]


def agrees(figure: Figure, printed: str, within: Fraction | None = None) -> bool:
    """Half a unit in the last printed place is allowed, or a share of the printed value."""
    if isinstance(figure.value, str):
        return figure.value == printed
    number, places, _ = _parts(printed)
    allowed = within * abs(number) if within is not None else Fraction(1, 2 * 10**places)
    return abs(_in_printed_unit(figure, printed) - number) <= allowed


def _parts(printed: str) -> tuple[Fraction, int, str]:
    found = PRINTED.fullmatch(printed)
    if not found:
        raise ValueError(f"“{printed}” is not a printed figure.")
    return Fraction(found.group(1)), len(found.group(2) or ""), found.group(3) or "1"


def _in_printed_unit(figure: Figure, printed: str) -> Fraction:
    assert not isinstance(figure.value, str)
    dimension, unit = UNITS[figure.unit].dimension, _parts(printed)[2]
    if same := find_unit(unit, dimension):
        return in_unit(figure.value, same.code)
    # Books print the force of a weight in pounds or kilograms.
    if dimension == "force" and (mass := find_unit(unit, "mass")):
        return in_unit(figure.value, mass.code) / GRAVITY
    raise ValueError(f"“{printed}” is not in a unit of {dimension}.")


def _own(figure: Figure, printed: str) -> str:
    if isinstance(figure.value, str):
        return figure.value
    return f"{float(_in_printed_unit(figure, printed)):.6g} {_parts(printed)[2]}"
