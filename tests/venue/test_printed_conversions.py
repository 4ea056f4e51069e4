"""Conversions printed in codes: those that are right, and those that the units show to be wrong."""

from __future__ import annotations

from fractions import Fraction

import pytest

from venue.quantities import read_quantity

RIGHT = [
    ("5000 lbf", "force", "kN", "22.2", "anchorage for one person, 29 CFR 1910.140(c)(13)"),
    ("200 lbf", "force", "N", "890", "top rail, 29 CFR 1910.29(b)(3)"),
    ("150 lbf", "force", "N", "667", "midrail, 29 CFR 1910.29(b)(5)"),
    ("50 lbf", "force", "N", "222", "toeboard, 29 CFR 1910.29(k)"),
    ("300 ft", "length", "m", "91.4", "travel distance, IBC 410.5.3.2"),
    ("400 ft", "length", "m", "121.9", "travel distance, New York City's adoption of it"),
    ("22 in", "length", "mm", "559", "width of egress, IBC 410.5.3.5"),
]
WRONG = [
    # Half a unit in the last printed place, and the figure is beyond it.
    ("400 ft", "length", "mm", "122", "IBC 410.5.3.2 as one adoption prints it: metres meant"),
    ("500 psf", "pressure", "kN/m2", "3447", "NYC BC 1607.2, lock rail: 500 psi meant"),
    ("50 psf", "pressure", "kN/m2", "2.40", "NYC BC 1607.2, gridiron: 2.39, rounded up"),
]


def missed_by(typed: str, dimension: str, unit: str, printed: str) -> tuple[Fraction, Fraction]:
    """How far the printed figure lies off, and half a unit in its last place."""
    places = len(printed.partition(".")[2])
    exact = read_quantity(typed, dimension).to(unit)
    return abs(exact - Fraction(printed)), Fraction(1, 2 * 10**places)


@pytest.mark.external("printed")
@pytest.mark.parametrize(("typed", "dimension", "unit", "printed", "where"), RIGHT)
def test_what_a_code_prints_beside_its_figure_agrees(typed, dimension, unit, printed, where):
    off, allowed = missed_by(typed, dimension, unit, printed)
    assert off <= allowed, where


@pytest.mark.parametrize(("typed", "dimension", "unit", "printed", "where"), WRONG)
def test_a_misprinted_conversion_is_noticed(typed, dimension, unit, printed, where):
    off, allowed = missed_by(typed, dimension, unit, printed)
    assert off > allowed, where
