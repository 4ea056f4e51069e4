"""Each code written into exports is a unit of the property we mean, not only a well-formed code.

Independent program: ucumvert 0.3.2, which reads the table of The Unified Code for Units of Measure
(ucum-essence.xml, version 2.2) and its grammar, and gives each code its dimensions in pint. Decibels
per metre mix a level with a length, which that program does not multiply: their two halves are
looked at one by one.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import pint
import pytest
from ucumvert import PintUcumRegistry, get_ucum_parser

from venue.quantities import UNITS

# What each of our dimensions measures, in the base quantities of the SI brochure, 9th edition,
# tables 2 and 4. Light lost in a beam is a ratio, here by length where its unit says so.
PROPERTY = {
    "length": "[length]", "mass": "[mass]", "force": "[mass] * [length] / [time] ** 2",
    "speed": "[length] / [time]", "angle": "", "time": "[time]",
    "pressure": "[mass] / [length] / [time] ** 2", "torque": "[mass] * [length] ** 2 / [time] ** 2",
    "current": "[current]", "resistance": "[mass] * [length] ** 2 / [current] ** 2 / [time] ** 3",
    "voltage": "[mass] * [length] ** 2 / [current] / [time] ** 3", "frequency": "1 / [time]",
    "area": "[length] ** 2", "mass per length": "[mass] / [length]",
    "line load": "[mass] / [time] ** 2", "illuminance": "[luminosity] / [length] ** 2",
    "ratio": "", "count": "", "obscuration": "",
}  # fmt: skip
BY_LENGTH = {"%/ft", "%/m", "dB/m"}
LEVELS = {"dB", "dB/m"}  # no factor: a logarithm
SIZED_OTHERWISE = {"deg"}  # ours is measured in degrees, theirs in radians


@lru_cache(maxsize=1)
def registry() -> Any:
    return PintUcumRegistry()


def dimensions(text: str) -> dict[str, float]:
    """
    >>> dimensions("[length] / [time]") == {"[length]": 1, "[time]": -1}
    True
    """
    return dict(pint.util.ParserHelper.from_string(text)) if text else {}


@pytest.mark.external("independent program")
@pytest.mark.parametrize("code", sorted(UNITS))
def test_a_code_in_an_export_has_the_property_of_its_dimension(code: str) -> None:
    unit = UNITS[code]
    numerator, _, denominator = unit.ucum.partition("/") if code == "dB/m" else (unit.ucum, "", "")
    found = dict(registry().from_ucum(numerator).dimensionality)
    if denominator:
        found |= {
            name: -power for name, power in registry().from_ucum(denominator).dimensionality.items()
        }
    meant = "1 / [length]" if code in BY_LENGTH else PROPERTY[unit.dimension]
    assert found == dimensions(meant), f"{unit.ucum} measures {found}, not {unit.dimension}"


@pytest.mark.parametrize("code", sorted(set(UNITS) - LEVELS - BY_LENGTH - SIZED_OTHERWISE))
def test_a_code_in_an_export_is_as_large_as_the_unit(code: str) -> None:
    unit = UNITS[code]
    theirs = registry().from_ucum(unit.ucum).to_base_units().magnitude
    assert theirs == pytest.approx(float(unit.factor), rel=1e-12)


def test_every_code_is_written_as_the_grammar_of_the_standard_has_it() -> None:
    parser = get_ucum_parser()
    assert len({unit.ucum for unit in UNITS.values()}) > 60
    for unit in UNITS.values():
        assert parser.parse(unit.ucum)


def test_pounds_of_mass_and_of_force_are_told_apart() -> None:
    """The mistake that a check of syntax alone does not see."""
    as_mass = dict(registry().from_ucum(UNITS["lb"].ucum).dimensionality)
    assert as_mass != dimensions(PROPERTY["force"])
    assert dict(registry().from_ucum("[lbf_av]").dimensionality) == dimensions(PROPERTY["force"])
