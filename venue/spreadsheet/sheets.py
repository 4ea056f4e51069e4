"""A file's bytes as sheets of plain text, whatever is in them. Pure.

Only what a cell cannot be read as is refused here, cell by cell; what the cells mean comes later.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field

from venue.register.grid import MAX_CELL, MAX_COLUMNS, MAX_ROWS, Refused, UnreadableFile
from venue.register.guard import unguarded
from venue.register.reading import OLD_WORKBOOK, ZIP
from venue.register.xlsx_sheet import read_every_sheet
from venue.spreadsheet.encodings import decoded, lines_in_doubt

MAX_BYTES = 5_000_000
MAX_MESSY_ROWS = 5_000
MOST_SHEETS = 30
DELIMITERS = ",;\t|"

Row = tuple[int, tuple[str, ...]]  # its number as the spreadsheet shows it, its cells


@dataclass(frozen=True)
class RawSheet:
    name: str
    rows: tuple[Row, ...]
    refused: dict[tuple[int, int], str] = field(default_factory=dict)  # row, column -> why


@dataclass(frozen=True)
class RawFile:
    sheets: tuple[RawSheet, ...]
    encoding: str = ""  # of a text file
    guessed: bool = False
    in_doubt: tuple[str, ...] = ()  # lines whose reading hangs on that guess


def read_sheets(content: bytes, encoding: str = "") -> RawFile:
    """Raises UnreadableFile, which says what to do instead."""
    if len(content) > MAX_BYTES:
        raise UnreadableFile("The file has more than 5 MB. Remove pictures and sheets not meant.")
    if not content.strip():
        raise UnreadableFile("The file is empty.")
    if content.startswith(OLD_WORKBOOK):
        raise UnreadableFile(
            "This is an old (.xls) or a protected workbook. Save it as .xlsx, without a password."
        )
    if content.startswith(ZIP):
        return RawFile(_workbook(content))
    if content.startswith(b"%PDF"):
        raise UnreadableFile("This is a PDF. Send the spreadsheet that it was printed from.")
    return _text(content, encoding)


def _workbook(content: bytes) -> tuple[RawSheet, ...]:
    sheets = []
    for name, grid in read_every_sheet(content):
        rows, refused = [], {}
        for number, cells in grid:
            if number > MAX_MESSY_ROWS:
                raise _too_many()
            for place, cell in enumerate(cells):
                if isinstance(cell, Refused):
                    refused[number, place] = cell.words
            texts = tuple("" if isinstance(one, Refused) else one.strip() for one in cells)
            rows.append((number, texts))
        if any(any(cells) for _, cells in rows):
            sheets.append(RawSheet(name, tuple(rows), refused))
    if not sheets:
        raise UnreadableFile("No sheet of the workbook holds anything.")
    return tuple(sheets[:MOST_SHEETS])


def _text(content: bytes, encoding: str) -> RawFile:
    text, used, guessed = decoded(content, encoding)
    if "\x00" in text:
        raise UnreadableFile("This is neither a workbook (.xlsx) nor text. Save it as one of them.")
    rows = tuple(_text_rows(text.replace("\r\n", "\n").replace("\r", "\n")))
    in_doubt = tuple(lines_in_doubt(text)) if guessed else ()
    return RawFile((RawSheet("", rows),), used, guessed, in_doubt)


def _text_rows(text: str) -> list[Row]:
    delimiter, rows = _delimiter(text), []
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        for number, cells in enumerate(reader, start=1):
            if number > min(MAX_MESSY_ROWS, MAX_ROWS):
                raise _too_many()
            kept = [unguarded(cell.strip())[:MAX_CELL] for cell in cells[:MAX_COLUMNS]]
            rows.append((number, tuple(kept)))
    except csv.Error as fault:
        raise UnreadableFile(f"Row {len(rows) + 1} cannot be read as a row of cells.") from fault
    return rows


def _delimiter(text: str) -> str:
    """The sign that parts most lines into the same number of cells, more than one.

    >>> _delimiter("Rigging; all, and sundry\\nNo;Kind;Where\\n1;Winch;Grid\\n")
    ';'
    """
    lines = [line for line in text.splitlines()[:60] if line.strip()]

    def agreement(sign: str) -> tuple[int, int]:
        counts = [line.count(sign) for line in lines if sign in line]
        usual = max(set(counts), key=counts.count) if counts else 0
        return (counts.count(usual) if usual else 0, usual)

    return max(DELIMITERS, key=agreement)


def _too_many() -> UnreadableFile:
    return UnreadableFile(
        f"The file has more than {MAX_MESSY_ROWS:,} rows. Remove the sheets that are not meant."
    )
