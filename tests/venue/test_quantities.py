"""What people type is read exactly, or refused with a sentence saying what to do."""

from __future__ import annotations

import json
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from venue.quantities import (
    DIMENSIONS,
    UNITS,
    Quantity,
    UnreadableQuantity,
    exact_text,
    looks_far_off,
    read_quantity,
    show,
    show_exact,
    units_of,
)

READ = [
    ("3/8 in", "length", "3/8", "in"),
    ('1 1/16"', "length", "17/16", "in"),
    ("1-1/16 in", "length", "17/16", "in"),
    ("1½ in", "length", "3/2", "in"),
    ("½ in", "length", "1/2", "in"),
    ("9.5 mm", "length", "19/2", "mm"),
    ("9,5 mm", "length", "19/2", "mm"),
    ("9,35 mm", "length", "187/20", "mm"),
    ("0,250 mm", "length", "1/4", "mm"),
    ("0.372 in", "length", "93/250", "in"),
    ("5' 6 1/2\"", "length", "133/24", "ft"),
    ("5 ft 6 in", "length", "11/2", "ft"),
    ("5’ 6”", "length", "11/2", "ft"),
    ("9.5 MM", "length", "19/2", "mm"),
    ("9.5 Mm", "length", "19/2", "mm"),
    ("2.2 kN", "force", "11/5", "kN"),
    ("2.2 KN", "force", "11/5", "kN"),
    ("500 lb", "mass", "500", "lb"),
    ("10 KG", "mass", "10", "kg"),
    ("1 t", "mass", "1", "t"),
    ("10 Nm", "torque", "10", "N m"),
    ("60 fpm", "speed", "60", "ft/min"),
    ("50 Mpa", "pressure", "50", "MPa"),
    ("100 psf", "pressure", "100", "lbf/ft2"),
    ("5 kN/m²", "pressure", "5", "kN/m2"),
    ("1 MΩ", "resistance", "1", "Mohm"),
    ("1 mΩ", "resistance", "1", "mohm"),
    ("3.1 %/ft", "obscuration", "31/10", "%/ft"),
    ("35 %", "obscuration", "35", "%"),
    ("12", "count", "12", "1"),
]

REFUSED = [
    ("1,250 kg", "mass", "1250 or 1.250"),
    ("1 250 kg", "mass", "one point"),
    ("1,250.5 kg", "mass", "one point"),
    ("1.250,5 kg", "mass", "one point"),
    ("5. mm", "length", "one point"),
    ("1/2/3 in", "length", "one point"),
    ("1 ton", "mass", "different weights"),
    ("1 T", "mass", "different weights"),
    ("500 lb", "force", "lbf"),
    ("5 kg", "length", "mm, cm, m, in or ft"),
    ("5 furlongs", "length", "mm, cm, m, in or ft"),
    ("9.5", "length", "Type the unit too"),
    ("1 MOHM", "resistance", "mohm or Mohm"),
    ("3/0 in", "length", "cannot have 0"),
    ("1 17/16 in", "length", "below one"),
    ("5' 13\"", "length", "less than 12"),
    ("-3 mm", "length", "without the minus"),
    ("NaN mm", "length", "Start with a number"),
    ("inf mm", "length", "Start with a number"),
    ("1e3 mm", "length", "exponent"),
    ("2**3**4 m", "length", "not a unit"),
    ("٣ mm", "length", "Start with a number"),
    ("", "length", "Type a number"),
    ("1" * 41, "count", "Too long"),
    ("5.5", "count", "whole number"),
]


@pytest.mark.parametrize(("typed", "dimension", "value", "unit"), READ)
def test_what_people_type_is_read_exactly(typed, dimension, value, unit):
    found = read_quantity(typed, dimension)
    assert (found.value, found.unit, found.typed) == (Fraction(value), unit, typed)


@pytest.mark.parametrize(("typed", "dimension", "says"), REFUSED)
def test_what_cannot_be_read_safely_is_refused_with_what_to_do(typed, dimension, says):
    with pytest.raises(UnreadableQuantity) as refusal:
        read_quantity(typed, dimension)
    assert says in str(refusal.value)
    assert str(refusal.value).endswith(".")


def test_a_bare_number_takes_the_unit_of_the_field():
    assert read_quantity("9.5", "length", "mm").si == Fraction(95, 10_000)
    assert read_quantity("3/8", "length", "in").si == Fraction(3, 8) * Fraction(254, 10_000)


def test_a_bare_fraction_in_a_metric_field_asks_for_its_unit():
    with pytest.raises(UnreadableQuantity, match="in or mm"):
        read_quantity("3/8", "length", "mm")


def test_below_zero_is_read_only_where_the_field_allows_it():
    assert read_quantity("-5 deg", "angle", allow_negative=True).si == -5


def test_a_wrong_dimension_or_usual_unit_is_a_fault_of_the_program():
    with pytest.raises(ValueError, match="not a dimension"):
        read_quantity("5 mm", "lenght")
    with pytest.raises(ValueError, match="not a unit of length"):
        read_quantity("5", "length", "kg")


# The same unit in an independent program: pint 0.25.3 with exact fractions. Its name there, and
# the base unit that one of ours is measured in.
PINT = {
    "mm": ("millimeter", "m"), "cm": ("centimeter", "m"), "m": ("meter", "m"),
    "in": ("inch", "m"), "ft": ("foot", "m"), "kg": ("kilogram", "kg"), "g": ("gram", "kg"),
    "t": ("metric_ton", "kg"), "lb": ("pound", "kg"), "kN": ("kilonewton", "N"),
    "N": ("newton", "N"), "daN": ("decanewton", "N"), "kgf": ("kilogram_force", "N"),
    "lbf": ("pound_force", "N"), "kip": ("kip", "N"), "m/s": ("meter/second", "m/s"),
    "mm/s": ("millimeter/second", "m/s"), "m/min": ("meter/minute", "m/s"),
    "mm/min": ("millimeter/minute", "m/s"), "ft/min": ("foot/minute", "m/s"),
    "ft/s": ("foot/second", "m/s"), "in/s": ("inch/second", "m/s"), "deg": ("degree", "degree"),
    "s": ("second", "s"), "ms": ("millisecond", "s"), "min": ("minute", "s"), "h": ("hour", "s"),
    "d": ("day", "s"), "a": ("julian_year", "s"), "kN/m2": ("kilonewton/meter**2", "Pa"),
    "N/m2": ("newton/meter**2", "Pa"), "kgf/m2": ("kilogram_force/meter**2", "Pa"),
    "lbf/ft2": ("pound_force/foot**2", "Pa"), "Pa": ("pascal", "Pa"), "kPa": ("kilopascal", "Pa"),
    "MPa": ("megapascal", "Pa"), "bar": ("bar", "Pa"), "lbf/in2": ("pound_force/inch**2", "Pa"),
    "N m": ("newton*meter", "N*m"), "kN m": ("kilonewton*meter", "N*m"),
    "lbf ft": ("pound_force*foot", "N*m"), "lbf in": ("pound_force*inch", "N*m"),
    "A": ("ampere", "A"), "mA": ("milliampere", "A"), "ohm": ("ohm", "ohm"),
    "kohm": ("kiloohm", "ohm"), "mohm": ("milliohm", "ohm"), "Mohm": ("megaohm", "ohm"),
    "V": ("volt", "V"), "Hz": ("hertz", "Hz"), "mm2": ("millimeter**2", "m**2"),
    "cm2": ("centimeter**2", "m**2"), "m2": ("meter**2", "m**2"), "in2": ("inch**2", "m**2"),
    "ft2": ("foot**2", "m**2"), "kg/m": ("kilogram/meter", "kg/m"),
    "lb/ft": ("pound/foot", "kg/m"), "kN/m": ("kilonewton/meter", "N/m"),
    "N/m": ("newton/meter", "N/m"), "lbf/ft": ("pound_force/foot", "N/m"),
    "%": ("percent", "dimensionless"), "x": ("dimensionless", "dimensionless"),
    "1": ("count", "count"), "lx": ("lux", "lux"), "fc": ("lumen/foot**2", "lux"),
}  # fmt: skip
# A part per length, and decibels, as they are written: no factor to compare.
WITHOUT_FACTOR = {"%/ft", "%/m", "dB", "dB/m"}


def test_every_factor_agrees_with_an_independent_program():
    registry = pint.UnitRegistry(non_int_type=Fraction)
    assert set(PINT) | WITHOUT_FACTOR == set(UNITS), "a unit is compared with nothing"
    for code, (name, base) in PINT.items():
        theirs = registry.Quantity(Fraction(1), name).to(base).magnitude
        assert theirs == UNITS[code].factor, f"pint 0.25.3: 1 {name} is {theirs} {base}"


def test_no_two_units_of_one_field_are_typed_the_same():
    seen = 0
    for dimension in DIMENSIONS:
        spellings = [
            spelling.casefold()
            for unit in units_of(dimension)
            if not unit.exact_spellings
            for spelling in {unit.code.casefold(), *map(str.casefold, unit.spellings)}
        ]
        assert len(spellings) == len(set(spellings)), dimension
        seen += len(spellings)
    assert seen > 120


@given(
    st.sampled_from(sorted(UNITS)),
    st.fractions(min_value=0, max_value=10**6, max_denominator=128),
)
def test_a_quantity_survives_storing_as_json(code, value):
    unit = UNITS[code]
    kept = Quantity("as typed", value, code, unit.dimension)
    assert Quantity.from_stored(json.loads(json.dumps(kept.stored()))) == kept


def test_a_stored_quantity_that_contradicts_itself_is_refused():
    stored = read_quantity("9.5 mm", "length").stored() | {"si": "1"}
    with pytest.raises(ValueError, match="disagrees"):
        Quantity.from_stored(stored)


@given(st.text(max_size=60))
def test_no_text_does_anything_but_be_read_or_be_refused(text):
    try:
        found = read_quantity(text, "length", "mm")
    except UnreadableQuantity:
        return
    assert found.si >= 0
    assert found.typed == text.strip()


@given(st.integers(0, 40), st.integers(1, 63))
def test_every_64th_of_an_inch_goes_to_millimetres_and_back(whole, part):
    typed = f"{whole} {part}/64 in"
    found = read_quantity(typed, "length")
    there = read_quantity(show_exact(found.si, "mm"), "length")
    assert there.si == found.si == (whole + Fraction(part, 64)) * Fraction(254, 10_000)


def test_scales_of_obscuration_are_never_converted_into_each_other():
    per_foot = read_quantity("3 %/ft", "obscuration")
    with pytest.raises(ValueError, match="cannot be converted"):
        per_foot.to("%/m")
    with pytest.raises(ValueError, match="cannot be converted"):
        read_quantity("3 dB", "obscuration").to("%")
    assert per_foot.scale != read_quantity("3 %/m", "obscuration").scale


@pytest.mark.parametrize(
    ("value", "unit", "places", "text"),
    [
        (Fraction(935, 100_000), "mm", None, "9.35 mm"),
        (Fraction(254, 10_000), "mm", 0, "25 mm"),
        (Fraction(1, 3), "m", None, "0.3333 m"),
        (Fraction(1, 10**9), "m", None, "0.000000001 m"),
        (Fraction(-5, 1), "deg", None, "-5°"),
        (Fraction(12), "1", None, "12"),
        (Fraction(1, 20), "%", None, "5 %"),
    ],
)
def test_figures_for_the_eye(value, unit, places, text):
    assert show(value, unit, places) == text


def test_a_figure_without_a_finite_decimal_is_shown_as_a_fraction():
    assert exact_text(Fraction(16, 3)) == "5 1/3"


@pytest.mark.parametrize(
    ("reading", "slip"),
    [("95", 10), ("0.95", 10), ("0.374", Fraction(254, 10)), ("950", 100), ("9500", 1000),
     ("9.1", None), ("12", None), ("0", None)],
)  # fmt: skip
def test_a_reading_far_off_is_noticed_with_the_slip_it_looks_like(reading, slip):
    assert looks_far_off(Fraction(reading), Fraction("9.5")) == slip


def test_one_slip_can_be_asked_for():
    assert looks_far_off(Fraction(95), Fraction("9.5"), factor=Fraction(10)) == 10
    assert looks_far_off(Fraction(95), Fraction("9.5"), factor=Fraction(100)) is None
