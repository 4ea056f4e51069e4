"""One cell read as what its column is for: the text a register file takes, or a doubt. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from venue.kind_files import Field
from venue.quantities import UnreadableQuantity, read_quantity
from venue.spreadsheet.days import DayRead, names_a_day, read_day, read_last_day
from venue.spreadsheet.looks import with_unit
from venue.spreadsheet.words import means, plain

WHOLE = re.compile(r"(\d{1,6})(?:\.0+)?(?: ?[A-Za-z]{1,10})?")


@dataclass(frozen=True)
class Value:
    """`text` is empty where the cell could not be read; then `doubt` says why."""

    text: str = ""
    doubt: str = ""


@dataclass(frozen=True)
class Reader:
    """What is the same for every cell of a file."""

    today: date
    order: str
    unit_habit: str

    def field(self, field: Field, text: str, unit: str) -> Value:
        if field.type == "quantity":
            return self.quantity(text, unit, field.dimension, field.unit(self.unit_habit))
        if field.type == "date":
            return self.day(text)
        if field.type == "whole_number":
            found = WHOLE.fullmatch(text)
            return Value(found[1]) if found else Value(doubt=f"“{text}” is not a whole number")
        if field.type == "yes_no":
            return _yes_or_no(text)
        if field.type == "choice":
            return _choice(field, text)
        return Value(text[:500])

    def quantity(self, text: str, unit: str, dimension: str, usual: str) -> Value:
        whole = with_unit(text, unit)
        try:
            read_quantity(whole, dimension, usual)
        except UnreadableQuantity as fault:
            return Value(doubt=f"“{text}”: {str(fault).rstrip('.')}")
        return Value(whole)

    def day(self, text: str) -> Value:
        return self._of_day(text, read_day(text, self.order, self.today))

    def last_day(self, text: str) -> Value:
        """Of a month or a year alone with the doubt that it is taken as its first day."""
        value = self._of_day(text, read_last_day(text, self.order, self.today))
        if value.text and not names_a_day(text):
            day = _written(date.fromisoformat(value.text))
            words = f"“{text}” names no day and is taken as {day}, the earliest it can be"
            return Value(value.text, words)
        return value

    def _of_day(self, text: str, read: DayRead) -> Value:
        if read.day:
            return Value(read.day.isoformat())
        if read.either:
            first, second = map(_written, read.either)
            return Value(doubt=f"{text} may be {first} or {second}: say which, above")
        return Value(doubt=f"“{text}”: {read.fault}")


def _written(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _yes_or_no(text: str) -> Value:
    for word in ("yes", "no"):
        if means(text, word):
            return Value(word)
    return Value(doubt=f"“{text}” is neither yes nor no")


def _choice(field: Field, text: str) -> Value:
    wanted = plain(text).replace(" ", "_")
    close = [one for one in field.choices if wanted in (one, plain(one).replace(" ", "_"))]
    if close:
        return Value(close[0])
    words = ", ".join(one.replace("_", " ") for one in field.choices)
    return Value(doubt=f"“{text}” is none of {words}")
