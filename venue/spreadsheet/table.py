"""Where the table begins in a sheet, and which of its rows describe things. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from venue.spreadsheet.sheets import RawSheet, Row
from venue.spreadsheet.words import column_words, means, plain

LOOKED_THROUGH = 40  # rows; nobody writes more above a table
LONG_TEXT = 60
Sort = Literal["thing", "group", "total", "remark", "heading again"]


@dataclass(frozen=True)
class TableRow:
    number: int
    cells: tuple[str, ...]
    group: str  # the last heading between the rows: FLY FLOOR
    sort: Sort


@dataclass(frozen=True)
class Table:
    """One sheet: its headings, and its rows that are not empty."""

    name: str
    heading_row: int  # 0: the sheet has no headings
    title: str  # what stands above them
    headings: tuple[str, ...]
    rows: tuple[TableRow, ...]

    @property
    def things(self) -> list[TableRow]:
        return [row for row in self.rows if row.sort == "thing"]


def read_table(sheet: RawSheet, heading_row: int | None = None) -> Table:
    """`heading_row` is a person's own word for it; else the likeliest row is taken."""
    filled = [row for row in sheet.rows if any(row[1])]
    number = likeliest_heading(filled) if heading_row is None else heading_row
    above = [row for row in filled if row[0] < number]
    own = next((cells for at, cells in filled if at == number), ())
    below = [row for row in filled if row[0] > number]
    width = max((len(cells) for _, cells in [(number, own), *below]), default=0)
    headings = tuple(_unbroken(own[place]) if place < len(own) else "" for place in range(width))
    title = " ".join(cell for _, cells in above for cell in cells if cell)[:200]
    return Table(sheet.name, number, title, headings, tuple(_rows(below, headings, width)))


def likeliest_heading(filled: list[Row]) -> int:
    """The row with the most headings in it that are known; 0 where none looks like one.

    >>> likeliest_heading([(1, ("Our rigging",)), (3, ("Tag", "Kind", "Where")), (4, ("1", "Winch", "Grid"))])
    3
    """
    best, best_score = 0, 0
    for number, cells in filled[:LOOKED_THROUGH]:
        texts = [cell for cell in cells if cell]
        known = sum(plain(_without_unit(text)) in column_words() for text in texts)
        numbers = sum(any(sign.isdigit() for sign in text) for text in texts)
        score = 3 * known + len({plain(text) for text in texts}) - 3 * numbers
        if len(texts) >= 2 and known >= 1 and score > best_score:
            best, best_score = number, score
    return best


def _without_unit(text: str) -> str:
    return text.partition("(")[0].partition("[")[0]


def _unbroken(text: str) -> str:
    return " ".join(text.split())


def _rows(below: list[Row], headings: tuple[str, ...], width: int) -> list[TableRow]:
    rows, group = [], ""
    for number, cells in below:
        whole = (*cells, *[""] * (width - len(cells)))[:width]
        sort = _sort_of(whole, headings)
        if sort == "group":
            group = _unbroken(next(cell for cell in whole if cell))
        rows.append(TableRow(number, whole, group, sort))
    return rows


def _sort_of(cells: tuple[str, ...], headings: tuple[str, ...]) -> Sort:
    texts = [cell for cell in cells if cell]
    if (
        sum(plain(one) == plain(other) for one, other in zip(cells, headings, strict=True) if one)
        >= 2
    ):
        same = [
            bool(one) and plain(one) == plain(two) for one, two in zip(cells, headings, strict=True)
        ]
        if sum(same) == len(texts):
            return "heading again"
    if any(means(text.partition(":")[0], "total") for text in texts[:2]):
        return "total"
    if len(texts) == 1 and len(cells) > 2:
        long = len(texts[0]) > LONG_TEXT or texts[0].startswith(("*", "Note", "NB", "NOTE"))
        return "remark" if long else "group"
    return "thing"
