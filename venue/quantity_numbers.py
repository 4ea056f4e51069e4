"""Read the number in what a person typed, exactly. Pure; only `venue.quantities` calls it.

The written rule:
- Digits with at most one point (`0.372`, `.5`) or one comma. A point is always the decimal point.
- A comma is the decimal comma (`9,5`, `9,35`, `0,250`), except before exactly three digits
  (`1,250`), where it could mean a thousand: refused. Points and commas together, or spaces
  between digits (`1 250`), are refused.
- Fractions: `3/8`, `1 1/16`, `1-1/16`, `1½`. A fraction after a whole number is less than one.
- No exponents, no words, no signs but one leading minus where the field allows it.
"""

from __future__ import annotations

import re
from fractions import Fraction


class UnreadableQuantity(ValueError):
    """The text cannot be read safely. The message says in one sentence what to do."""


LONGEST = 40

# Fraction signs become "n/d" with a space before them, so that "1½" is never "11/2".
SIGNS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
SAME = {
    "\u00a0": " ", "\u202f": " ", "\u2009": " ", "−": "-", "–": "-", "⁄": "/",
    "″": '"', "“": '"', "”": '"', "′": "'", "’": "'", "‘": "'",
}  # fmt: skip

MIXED = re.compile(r"([0-9]+)(?: +| ?- ?)([0-9]+) ?/ ?([0-9]+)")
PLAIN_FRACTION = re.compile(r"([0-9]+) ?/ ?([0-9]+)")
DECIMAL = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")
COMMA = re.compile(r"([0-9]+),([0-9]+)")
NUMBER_PART = re.compile(r"[-+]?[0-9.,][0-9., /-]*")
EXPONENT = re.compile(r"[-+]?[0-9.,]+ ?[eE] ?[-+]?[0-9]")


def tidy(text: str) -> str:
    """One spelling for the many signs of phones and word processors."""
    if len(text) > LONGEST:
        raise UnreadableQuantity(
            f"Too long: type a number and its unit, {LONGEST} characters at most."
        )
    if not text.isascii():
        for sign, plain in SIGNS.items():
            text = text.replace(sign, f" {plain}")
        for sign, plain in SAME.items():
            text = text.replace(sign, plain)
    return " ".join(text.replace("''", '"').split())


def split_number(text: str) -> tuple[str, str]:
    """The number and the unit of a tidied text.

    >>> split_number('1-1/16"')
    ('1-1/16', '"')
    """
    if EXPONENT.match(text):
        raise UnreadableQuantity("Write the number out in full, without an exponent.")
    found = NUMBER_PART.match(text)
    if not found:
        raise UnreadableQuantity(f"Start with a number, like 9.5 or 3/8; “{text}” does not.")
    number = found.group().rstrip(" /-")
    return number, text[len(number) :].strip()


def read_number(text: str) -> Fraction:
    """The exact value of a number without sign or unit, by the rule above.

    >>> read_number("1 1/16")
    Fraction(17, 16)
    >>> read_number("9,5")
    Fraction(19, 2)
    """
    if found := MIXED.fullmatch(text):
        whole, top, bottom = (int(part) for part in found.groups())
        if bottom and top >= bottom:
            raise UnreadableQuantity(
                f"“{text}” has a fraction of one or more: type a whole number and a part below one."
            )
        return whole + _fraction(top, bottom)
    if found := PLAIN_FRACTION.fullmatch(text):
        return _fraction(int(found.group(1)), int(found.group(2)))
    if DECIMAL.fullmatch(text):
        return Fraction(text)
    return _with_comma(text)


def _fraction(top: int, bottom: int) -> Fraction:
    if bottom == 0:
        raise UnreadableQuantity("A fraction cannot have 0 below the line: type it again.")
    return Fraction(top, bottom)


def _with_comma(text: str) -> Fraction:
    found = COMMA.fullmatch(text)
    if not found:
        raise UnreadableQuantity(
            f"“{text}” is not a number this field reads: use digits with one point, "
            "like 1250 or 9.5, or a fraction, like 1 1/16."
        )
    before, after = found.groups()
    if len(after) == 3 and before != "0":
        raise UnreadableQuantity(
            f"“{text}” can mean {before}{after} or {before}.{after}: "
            "type one of these, without a comma."
        )
    return Fraction(f"{before}.{after}")
