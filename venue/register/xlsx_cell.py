"""One workbook cell as the text a person would have typed, or a refusal. Pure."""

from __future__ import annotations

import re
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from venue.register.grid import MAX_CELL, Cell, Refused

# Number formats that show the number itself: digits, separators, fractions, signs, colours.
_PLAIN_FORMAT = re.compile(r"(General|[0#?.,/ ;()\-_@*+Ee]|\[[A-Za-z]+\d*\]|\\[ \-()])*")


def as_text(cell: Any) -> Cell:
    """The cell's text: "9.5" for 9.5, "2021-03-04" for a date, "yes" for true, "" for nothing."""
    value = cell.value
    if value is None:
        return ""
    if cell.data_type == "e":
        return Refused(f"holds the spreadsheet error {value}. Correct the cell")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return _typed(value)
    if isinstance(value, int | float):
        return _number(value, cell.number_format or "General")
    if isinstance(value, datetime):
        return _day(value)
    if isinstance(value, date):
        return value.isoformat()
    return Refused("holds a time of day or a duration. Type it as text")


# A number format that ends in a unit in letters: 0.0" mm", #,##0 "kg", General" lb".
_FORMAT_WITH_UNIT = re.compile(r'(?:General|[#0?.,]+)(?:\\? )?"? ?([A-Za-z]{1,4})"?(?:;.*)?')


def as_text_with_unit(cell: Any) -> Cell:
    """As `as_text`; a number whose unit stands only in the cell's format comes with it, unrounded."""
    value, found = cell.value, None
    if isinstance(value, int | float) and not isinstance(value, bool):
        found = _FORMAT_WITH_UNIT.fullmatch(cell.number_format or "")
    if found and found.group(1) != "General":
        return f"{number_text(value)} {found.group(1)}"
    return as_text(cell)


def _typed(text: str) -> Cell:
    if len(text) > MAX_CELL:
        return Refused(f"holds {len(text):,} characters; at most {MAX_CELL:,} are read")
    return text.replace("_x000D_", "").replace("\r\n", "\n").replace("\r", "\n")


def _day(value: datetime) -> str:
    midnight = (value.hour, value.minute, value.second, value.microsecond) == (0, 0, 0, 0)
    return value.date().isoformat() if midnight else value.isoformat(sep=" ")


def _number(value: int | float, shown_as: str) -> Cell:
    if "%" in shown_as:
        return f"{number_text(Decimal(number_text(value)) * 100)} %"
    if not _PLAIN_FORMAT.fullmatch(shown_as):
        # Shown as "9.5 mm" while the file holds 9.5: the unit would be lost without a word.
        return Refused(
            f"holds a number shown through the format {shown_as}. Type number and unit as text"
        )
    return number_text(value)


def number_text(value: int | float | Decimal) -> str:
    """The number in plain digits. A spreadsheet keeps 15 digits; what binary adds is dropped.

    >>> number_text(9.5), number_text(1997.0), number_text(0.1 + 0.2), number_text(1e-7)
    ('9.5', '1997', '0.3', '0.0000001')
    """
    exact = Decimal(format(value, ".15g")) if isinstance(value, float) else Decimal(value)
    plain = format(exact, "f")
    return plain.rstrip("0").rstrip(".") if "." in plain else plain
