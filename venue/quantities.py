"""Read, keep and show quantities exactly, with their units. Pure.

What a person typed is kept as typed; the value is an exact fraction; comparisons are made on
`si`. No general unit parser sees a person's text: it would read "1 1/16 in" as 0.0625 in.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache

from venue.quantity_numbers import UnreadableQuantity, read_number, split_number, tidy
from venue.quantity_units import DIMENSIONS, UNITS, Unit, find_unit, units_of

__all__ = [
    "DIMENSIONS", "UNITS", "Quantity", "Unit", "UnreadableQuantity", "exact_text", "looks_far_off",
    "read_quantity", "show", "show_exact", "units_of",
]  # fmt: skip

# Several different masses share these names, up to 12 % apart.
TONS = {"ton", "tons", "t", "short ton", "long ton", "us ton", "uk ton"}
FEET_AND_INCHES = re.compile(
    r"([0-9]+) ?(?:'|ft\.?|feet|foot) ?-? ?([0-9][0-9 .,/-]*?) ?(?:\"|in\.?|inches|inch)",
    re.IGNORECASE,
)
SHOWN_PLACES = 4
# Slips of unit or point: a decimal place, inches for millimetres, per cent, thousand.
SLIPS = (Fraction(10), Fraction(254, 10), Fraction(100), Fraction(1000))


@dataclass(frozen=True)
class Quantity:
    """A value with its unit, and the text it was typed as."""

    typed: str
    value: Fraction
    unit: str
    dimension: str

    @cached_property
    def si(self) -> Fraction:
        """The exact value in SI (angles: degrees). Obscurations: on the scale of their unit."""
        return self.value * UNITS[self.unit].factor

    @property
    def scale(self) -> str:
        """Two quantities may be compared only if their scales are the same."""
        return UNITS[self.unit].scale or self.dimension

    def to(self, unit: str) -> Fraction:
        """The exact value in another unit of the same dimension and scale.

        >>> read_quantity("3/8 in", "length").to("mm")
        Fraction(381, 40)
        """
        target = UNITS[unit]
        if not target.serves(self.dimension) or (target.scale or self.dimension) != self.scale:
            raise ValueError(f"{self.typed} cannot be converted to {unit}.")
        return self.si / target.factor

    def stored(self) -> dict[str, str]:
        """Text only and exact, for a JSON field.

        >>> read_quantity("3/8 in", "length").stored()["si"]
        '381/40000'
        """
        return {
            "typed": self.typed, "value": str(self.value), "unit": self.unit,
            "dimension": self.dimension, "si": str(self.si),
        }  # fmt: skip

    @classmethod
    def from_stored(cls, stored: Mapping[str, str]) -> Quantity:
        """The quantity kept by `stored()`. A stored SI value that disagrees is refused."""
        unit = UNITS.get(stored["unit"])
        if unit is None or not unit.serves(stored["dimension"]):
            raise ValueError(f"{stored['unit']!r} is not a unit of {stored['dimension']!r}.")
        found = cls(stored["typed"], Fraction(stored["value"]), unit.code, stored["dimension"])
        if "si" in stored and Fraction(stored["si"]) != found.si:
            raise ValueError(f"The stored {stored['typed']!r} disagrees with its SI value.")
        return found

    def __str__(self) -> str:
        return self.typed


def read_quantity(
    text: str, dimension: str, default_unit: str | None = None, allow_negative: bool = False
) -> Quantity:
    """Read what a person typed into a field of one dimension.

    `default_unit` is the unit of the field for a bare number. A bare fraction of a length is
    read as it stands only where that unit is the inch or the foot. Raises UnreadableQuantity.

    >>> read_quantity('1 1/16"', "length").value
    Fraction(17, 16)
    >>> read_quantity("9,5", "length", "mm").si
    Fraction(19, 2000)
    """
    if dimension not in DIMENSIONS:
        raise ValueError(f"{dimension!r} is not a dimension; known are {', '.join(DIMENSIONS)}.")
    return _read(text.strip(), dimension, default_unit, allow_negative)


@lru_cache(maxsize=4096)  # the same few texts come again and again: readings, limits, windows
def _read(typed: str, dimension: str, default_unit: str | None, allow_negative: bool) -> Quantity:
    usual = _usual_unit(default_unit, dimension)
    tidied = tidy(typed)
    if not tidied:
        raise UnreadableQuantity("Type a number and its unit.")
    negative = tidied.startswith("-")
    if negative and not allow_negative:
        raise UnreadableQuantity("Below zero is not possible here: type it without the minus.")
    tidied = tidied.removeprefix("-").strip()
    if dimension == "length" and (found := FEET_AND_INCHES.fullmatch(tidied)):
        value, unit = _feet_and_inches(found), UNITS["ft"]
    else:
        value, unit = _number_and_unit(tidied, dimension, usual)
    if dimension == "count" and value.denominator != 1:
        raise UnreadableQuantity("Type a whole number.")
    return Quantity(typed, -value if negative else value, unit.code, dimension)


def _usual_unit(default_unit: str | None, dimension: str) -> Unit | None:
    if dimension == "count":
        return UNITS["1"]
    if not default_unit:
        return None
    usual = find_unit(default_unit, dimension)
    if usual is None:
        raise ValueError(f"{default_unit!r} is not a unit of {dimension}.")
    return usual


def _number_and_unit(text: str, dimension: str, usual: Unit | None) -> tuple[Fraction, Unit]:
    number, unit_text = split_number(text)
    value = read_number(number)
    if unit_text:
        return value, _named_unit(unit_text, dimension)
    if usual is None:
        raise UnreadableQuantity(f"Type the unit too: {_choices(dimension)}.")
    if dimension == "length" and "/" in number and usual.code not in ("in", "ft"):
        raise UnreadableQuantity(f"Type the unit after {number}: in or {usual.code}.")
    return value, usual


def _named_unit(text: str, dimension: str) -> Unit:
    if unit := find_unit(text, dimension):
        return unit
    if dimension in ("mass", "force") and text.casefold() in TONS:
        raise UnreadableQuantity(
            f"“{text}” means different weights to different people: type {_choices(dimension)}."
        )
    raise UnreadableQuantity(f"“{text}” is not a unit of this field: type {_choices(dimension)}.")


def _choices(dimension: str) -> str:
    codes = [unit.code for unit in units_of(dimension)]
    return codes[0] if len(codes) == 1 else f"{', '.join(codes[:-1])} or {codes[-1]}"


def _feet_and_inches(found: re.Match[str]) -> Fraction:
    inches = read_number(found.group(2))
    if inches >= 12:
        raise UnreadableQuantity("After whole feet there are less than 12 inches: type it again.")
    return int(found.group(1)) + inches / 12


def show(value_si: Fraction, unit: str, places: int | None = None) -> str:
    """A value for the eye, in a unit, rounded half-even to `places` (4 at most by default).

    Not for a figure that stands beside a limit: use `show_exact` there.

    >>> show(Fraction(935, 100_000), "mm")
    '9.35 mm'
    >>> show(Fraction(381, 40_000), "mm", places=1)
    '9.5 mm'
    """
    value = value_si / UNITS[unit].factor
    text = rounded_text(value, SHOWN_PLACES if places is None else places)
    if places is None and "." in text:
        text = text.rstrip("0").rstrip(".")
    if places is None and value and text.lstrip("-") == "0":
        text = exact_text(value)
    return _with_label(text, unit)


def show_exact(value_si: Fraction, unit: str) -> str:
    """A value in a unit without any rounding: a finite decimal if there is one, else a fraction.

    >>> show_exact(Fraction(1, 300), "%")
    '1/3 %'
    """
    return _with_label(exact_text(value_si / UNITS[unit].factor), unit)


def _with_label(number: str, unit: str) -> str:
    label = UNITS[unit].label
    space = "" if label in ("", "°") else " "
    return f"{number}{space}{label}"


def rounded_text(value: Fraction, places: int) -> str:
    """An exact fraction rounded half-even to a number of places, as text."""
    scaled = round(value * 10**places)  # Fraction rounds half-even, exactly
    digits = str(abs(scaled)).rjust(places + 1, "0")
    whole, part = digits[: len(digits) - places], digits[len(digits) - places :]
    return ("-" if scaled < 0 else "") + (f"{whole}.{part}" if part else whole)


def exact_text(value: Fraction) -> str:
    """A fraction as a finite decimal of at most 12 places, else as a (mixed) fraction.

    >>> exact_text(Fraction(3, 8)), exact_text(Fraction(7, 3)), exact_text(Fraction(-1, 3))
    ('0.375', '2 1/3', '-1/3')
    """
    if value.denominator == 1:
        return str(value.numerator)
    places = _decimal_places(value.denominator)
    if places is not None and places <= 12:
        return rounded_text(value, places)
    whole, part = divmod(abs(value), 1)
    sign = "-" if value < 0 else ""
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def _decimal_places(denominator: int) -> int | None:
    """The places of the finite decimal of a fraction in lowest terms; None: it has none."""
    rest, counted = denominator, {2: 0, 5: 0}
    for prime in counted:
        while rest % prime == 0:
            rest //= prime
            counted[prime] += 1
    return max(counted.values()) if rest == 1 else None


def looks_far_off(
    reading: Fraction, expected: Fraction, factor: Fraction | None = None
) -> Fraction | None:
    """The slip (10, 25.4, 100 or 1000) that a reading looks wrong by, or None.

    Without `factor`: None below a ratio of 8, else the nearest slip. With `factor`: whether the
    ratio is within 20 % of it. Signs do not matter; a zero is never far off. A reading that is
    far off is asked again, never refused or changed. Common practice, our own margins.

    >>> looks_far_off(Fraction(95), Fraction(9))
    Fraction(10, 1)
    """
    if not reading or not expected:
        return None
    ratio = abs(Fraction(reading) / Fraction(expected))
    ratio = max(ratio, 1 / ratio)
    if factor is not None:
        return factor if Fraction(8, 10) <= ratio / factor <= Fraction(12, 10) else None
    if ratio < 8:
        return None
    return min(SLIPS, key=lambda slip: max(ratio / slip, slip / ratio))
