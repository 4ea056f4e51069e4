"""What any reader of a file hands on: rows of cells as text, or a refusal in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

MAX_BYTES = 25_000_000
MAX_ROWS = 20_000
MAX_COLUMNS = 1_000
MAX_CELL = 4_000


class UnreadableFile(ValueError):
    """The whole file cannot be read; says what is wrong and what to do instead."""


@dataclass(frozen=True)
class Refused:
    """A cell whose content cannot be turned into text without guessing."""

    words: str


Cell = str | Refused
Grid = Iterator[tuple[int, list[Cell]]]  # row number as the spreadsheet shows it, cells


@dataclass(frozen=True, order=True)
class Fault:
    """One thing wrong, by row and column. Row 0 is the file as a whole."""

    row: int
    column: str
    words: str

    def __str__(self) -> str:
        where = f"Row {self.row}" if self.row else "The file"
        return (
            f"{where}, column “{self.column}”: {self.words}"
            if self.column
            else f"{where}: {self.words}"
        )


@dataclass(frozen=True)
class SheetRow:
    """One row: the cells that are not empty, by column name. `refused` had unreadable cells."""

    number: int
    cells: dict[str, str]
    refused: frozenset[str] = frozenset()


@dataclass
class Sheet:
    columns: tuple[str, ...]
    rows: list[SheetRow] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def too_many_rows() -> UnreadableFile:
    return UnreadableFile(
        f"The file has more than {MAX_ROWS:,} rows. Split it and import the files one by one."
    )


def too_many_columns(count: int) -> UnreadableFile:
    return UnreadableFile(
        f"The file has {count:,} columns; at most {MAX_COLUMNS:,} are read. "
        "Start again from the template."
    )


def too_large(size: int) -> UnreadableFile:
    return UnreadableFile(
        f"The file has {size / 1_000_000:.0f} MB; a register file may have 25 MB. "
        "Remove pictures and other sheets, or split it."
    )
