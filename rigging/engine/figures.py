"""Figures for the eye that never round across a limit. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.engine.bounds import Bounds, Limit
from venue.quantities import UNITS, exact_text, rounded_text

# Places that are read off an instrument in each unit; more are shown only where a limit needs it.
PLACES = {"%": 2, "mm": 2, "1": 2, "in": 4}
AS_IN_SI = frozenset(code for code, unit in UNITS.items() if unit.factor == 1)


def shown(value: Fraction, beside: Fraction | None = None, least: int = 2) -> str:
    """A figure with as few places as keep it on its own side of the figure beside it.

    >>> shown(Fraction(5000001, 1000000), Fraction(5)), shown(Fraction(425, 53), Fraction(6))
    ('5.000001', '8.02')
    """
    if value.denominator == 1:
        return str(value.numerator)
    for places in range(least, 13):
        text = rounded_text(value, places)
        rounded = Fraction(text)
        if beside is None or _side(rounded, beside) == _side(value, beside):
            return text.rstrip("0").rstrip(".") if "." in text else text
    return exact_text(value)


def _side(value: Fraction, beside: Fraction) -> int:
    return (value > beside) - (value < beside)


def exact_percent(part: Fraction) -> str:
    """A part as a percentage that never rounds across a whole one: "62.5 %", "66.66 %"."""
    return f"{shown(part * 100, Fraction(100))} %"


def in_unit(value: Fraction, unit: str) -> Fraction:
    return value if unit in AS_IN_SI else value / UNITS[unit].factor


def with_unit(number: str, unit: str) -> str:
    label = UNITS[unit].label
    return f"{number} {label}" if label else number


def value_text(bounds: Bounds, limit: Limit, unit: str) -> str:
    """The value of a criterion: the figure, or what is known of it."""
    beside = None if limit.low is None else in_unit(limit.low, unit)
    least = PLACES.get(unit, 4)
    if bounds.reading is not None:
        return with_unit(shown(in_unit(bounds.reading, unit), beside, least), unit)
    low = shown(in_unit(bounds.low, unit), beside, least)
    if bounds.exact:
        return with_unit(low, unit)
    if bounds.high is None:
        return with_unit(f"at least {low}", unit) if bounds.low > 0 else ""
    high = shown(in_unit(bounds.high, unit), beside, least)
    return with_unit(f"between {low} and {high}", unit)


def limit_figure(limit: Limit, unit: str) -> str:
    """The limit in figures; empty where it is not known."""
    if limit.low is None or limit.high is None:
        return ""
    low = exact_text(in_unit(limit.low, unit))
    if limit.low == limit.high:
        return with_unit(low, unit)
    return with_unit(f"{low} or {exact_text(in_unit(limit.high, unit))}", unit)


def limit_words(comparator: str, limit: str) -> str:
    """A limit as it is read aloud.

    >>> limit_words(">=", "6"), limit_words("", "not present")
    ('6 or more', 'not present')
    """
    words = {">=": "{} or more", ">": "more than {}", "<=": "{} or less", "<": "less than {}"}
    return words.get(comparator, "{}").format(limit) if limit else ""


def margin_text(bounds: Bounds, limit: Limit, unit: str, comparator: str = ">=") -> str:
    """How far the value is from the limit: "1 below the limit", "0.5 % beyond the limit". A
    value that should not be small is "above" its limit, or "short of" it."""
    value = bounds.reading if bounds.reading is not None else bounds.low
    if limit.low is None or not (bounds.exact or bounds.reading is not None):
        return ""
    gap = in_unit(limit.low - value, unit)
    if gap == 0:
        return "exactly at the limit"
    size = with_unit(shown(abs(gap), Fraction(0), PLACES.get(unit, 4)), unit)
    if comparator in ("<", "<="):
        return f"{size} {'short of' if gap > 0 else 'above'} the limit"
    return f"{size} {'below' if gap > 0 else 'beyond'} the limit"
