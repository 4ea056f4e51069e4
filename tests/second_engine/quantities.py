"""Quantities as they stand in vectors and rule-set files, read as exact fractions in SI."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

INCH = Fraction("0.0254")
UNITS = {
    "mm": Fraction(1, 1000), "cm": Fraction(1, 100), "m": Fraction(1), "in": INCH, "ft": 12 * INCH,
    "N": Fraction(1), "kN": Fraction(1000), "lbf": Fraction("4.4482216152605"),
    "%": Fraction(1, 100), "x": Fraction(1),
}  # fmt: skip


@lru_cache(maxsize=100_000)
def read_quantity(text: str) -> Fraction:
    """`1 1/4 in` is a whole, a part and a unit."""
    *numbers, unit = text.split()
    return sum((Fraction(each) for each in numbers), Fraction(0)) * UNITS[unit]


def maybe_quantity(text: str | None) -> Fraction | None:
    return None if text is None else read_quantity(text)


def floor(value: Fraction) -> int:
    return value.numerator // value.denominator


def ceiling(value: Fraction) -> int:
    return -floor(-value)
