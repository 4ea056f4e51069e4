"""Read the cells of one row beside what is known, collecting every fault. Pure."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from datetime import date

from venue.register.columns import BETWEEN_ITEMS, nearest, rows_that_fill
from venue.register.grid import Fault, SheetRow
from venue.register.guard import EMPTIED
from venue.register.strange import strange_text

EARLIEST = date(1850, 1, 1)
STANDINGS = ("installed", "stored", "gone")
HIGHEST_ORDER = 2_000_000_000


@dataclass
class RowReading:
    """The cells of a row that differ from what is known (`before`, empty for something new).

    A cell that reads as it would be exported is not read again: what the house holds stays, in
    whatever way it was first entered.
    """

    row: SheetRow
    before: dict[str, str]
    faults: list[Fault] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.changed = {
            column: text
            for column, text in self.row.cells.items()
            if column != "row" and text != self.before.get(column, EMPTIED)
        }
        for column, text in self.changed.items():
            if text != EMPTIED and (words := strange_text(text)):
                self.fault(column, f"{words}.")

    def fault(self, column: str, words: str) -> None:
        self.faults.append(Fault(self.row.number, column, words))

    def only_for(self, row_type: str) -> None:
        """A cell filled in a row that cannot have it is a fault: it would be lost in silence."""
        for column in self.row.cells:
            allowed = rows_that_fill(column)
            if row_type not in allowed:
                those = " and ".join(sorted(allowed))
                self.fault(column, f"a {row_type} row has nothing here; only {those} rows do.")

    def line(self, column: str, known: str, longest: int, *, needed: bool = False) -> str:
        """One line of text; `known` where the file says nothing new."""
        text = self._new(column)
        if text is None:
            if needed and not known:
                self.fault(column, "is empty; it is needed.")
            return known
        if text == "" and needed:
            self.fault(column, "cannot be emptied; it is needed.")
        if len(text) > longest:
            self.fault(column, f"has {len(text)} characters; at most {longest} are kept.")
        return text

    def code(self, column: str, longest: int) -> str:
        """A text that names a thing: what nobody can see in it would make two of one."""
        text = one_line(self.row.cells.get(column, ""))
        if text in ("", EMPTIED):
            self.fault(column, "is empty; it is needed.")
        elif any(unicodedata.category(sign) in ("Cc", "Cf", "Co", "Cn") for sign in text):
            self.fault(column, "holds an invisible character. Type it again.")
        elif len(text) > longest:
            self.fault(column, f"has {len(text)} characters; at most {longest} are kept.")
        return text

    def whole(self, column: str, known: int, highest: int = HIGHEST_ORDER) -> int:
        text = self._new(column)
        if text is None or text == "":
            return known if text is None else 0
        if not re.fullmatch(r"[0-9]{1,12}", text) or int(text) > highest:
            self.fault(column, f"“{text}” is not a whole number from 0 to {highest:,}.")
            return known
        return int(text)

    def day(self, column: str, known: date | None, today: date) -> date | None:
        text = self._new(column)
        if text is None or text == "":
            return known if text is None else None
        words, day = read_day(text, today)
        if words:
            self.fault(column, words)
        return day or known

    def standing(self, known: str) -> str:
        text = self._new("standing")
        if text is None:
            return known
        word = text.lower().split(",")[0].split(" ")[0]
        if word not in STANDINGS:
            self.fault(
                "standing",
                f"“{text}” is none of installed, stored, gone.{nearest(word, STANDINGS)}",
            )
            return known
        return word

    def items(self, column: str, known: tuple[str, ...]) -> tuple[str, ...]:
        text = self._new(column)
        if text is None or text == "":
            return known if text is None else ()
        return tuple(item.strip() for item in text.split(BETWEEN_ITEMS.strip()) if item.strip())

    def _new(self, column: str) -> str | None:
        text = self.changed.get(column)
        if text is None:
            return None
        return "" if text == EMPTIED else one_line(text)


def one_line(text: str) -> str:
    return " ".join(text.split()) if text != EMPTIED else text


def read_day(text: str, today: date) -> tuple[str, date | None]:
    """A day written year-month-day, or why not. Other orders mean two days to two people.

    >>> read_day("2023-02-30", date(2026, 1, 1))[0]
    '“2023-02-30” is not a day of the calendar.'
    """
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        return f"“{text}” is not a date written year-month-day, for example 2021-03-04.", None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return f"“{text}” is not a day of the calendar.", None
    if day > today:
        return f"{text} lies in the future.", None
    return ("", day) if day >= EARLIEST else (f"{text} is too long ago to be right.", None)
