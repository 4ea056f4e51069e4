"""A whole spreadsheet as rows of a register file, with every doubt in words. Pure.

Nothing of a file is lost in silence: what has no place in the register, or cannot be read, is kept
in the note of its thing; a row that is left out says why.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from datetime import date

from venue.register.csv_text import write_csv
from venue.spreadsheet.days import order_shown, read_last_day
from venue.spreadsheet.kinds_of_rows import KindWord, KindWords
from venue.spreadsheet.proposing import ColumnGuess, propose
from venue.spreadsheet.row_shapes import LastLooked, Missing, UnderstoodRow
from venue.spreadsheet.rows import RowReader
from venue.spreadsheet.saying import Said
from venue.spreadsheet.sheets import RawFile, RawSheet
from venue.spreadsheet.table import Table, read_table
from venue.spreadsheet.targets import LAST_DONE, NOTE, targets
from venue.spreadsheet.values import Reader

USUAL_PLACE = "The house"


@dataclass(frozen=True)
class ReadColumn:
    heading: str
    guess: ColumnGuess
    target: str  # the guess, or what a person said
    examples: tuple[str, ...]
    ahead: str = ""  # of a column of last looks: a cell that lies in the future

    @property
    def read_as(self) -> str:
        """A column in which one day lies ahead may hold nothing but coming days, some of which have
        gone by unheeded: none of them is taken for a last look, and all stay in the note."""
        return NOTE if self.ahead else self.target

    @property
    def doubt(self) -> str:
        """What is taken for granted of the whole column, or why nothing is taken from it."""
        if self.ahead:
            return (
                f"“{self.ahead}” lies in the future, so the column may hold the days of the next look: "
                "none is taken for the last one, all are kept as a note. If it is a slip of the pen, "
                "correct it in the list and send the list again"
            )
        measured = bool(targets()[self.target].dimension)
        if measured and not self.guess.unit and self.guess.looks.numbers > 0:
            return "Bare numbers are taken in the usual unit of the house"
        return ""


@dataclass(frozen=True)
class ReadSheet:
    table: Table
    columns: tuple[ReadColumn, ...]
    out: bool
    skipped: tuple[str, ...]  # rows that describe no thing, in words

    @property
    def name(self) -> str:
        return self.table.name


@dataclass
class Understood:
    sheets: list[ReadSheet]
    rows: list[UnderstoodRow] = field(default_factory=list)
    kind_words: list[KindWord] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    order: str = ""
    ambiguous: tuple[str, ...] = ()  # days that may be two, where nobody said which

    @property
    def ready(self) -> list[UnderstoodRow]:
        return [row for row in self.rows if not row.out]

    @property
    def left_out(self) -> list[UnderstoodRow]:
        return [row for row in self.rows if row.out]

    @property
    def doubtful(self) -> list[UnderstoodRow]:
        return [row for row in self.ready if row.doubts]

    @property
    def last_looks(self) -> dict[str, LastLooked]:
        """By tag, what the list says of when each thing was last looked at."""
        return {row.tag: row.last for row in self.ready if row.last}

    def register_rows(self) -> list[tuple[UnderstoodRow, dict[str, str]]]:
        """Each row of the register file with the row of the spreadsheet it comes from."""
        return [(row, cells) for row in self.ready for cells in (row.cells, *row.parts)]

    def register_file(self) -> bytes:
        """What the register's own reader takes; empty where there is nothing to read in."""
        cells = [one for _, one in self.register_rows()]
        columns = list(dict.fromkeys(["row", "tag", *(name for one in cells for name in one)]))
        rows = [[one.get(column, "") for column in columns] for one in cells]
        return write_csv([columns, *rows]) if rows else b""


def understand(
    raw: RawFile, said: Said, *, unit_habit: str, dialect: str, today: date, held: Collection[str] = ()
) -> Understood:  # fmt: skip
    """`held`: the tags that the register has already; what is known of them is not asked again."""
    sheets = [_read_sheet(sheet, said, today) for sheet in raw.sheets]
    days = _days_of(sheets)
    order = said.order or order_shown(days, today)
    sheets = [_with_days_ahead(sheet, order, today) for sheet in sheets]
    reader = Reader(today, order, unit_habit)
    words = KindWords(said.kinds)
    rows = RowReader(reader, words, said, dialect, set(held))
    for sheet in sheets:
        if not sheet.out:
            targets_of = [column.read_as for column in sheet.columns]
            units = [column.guess.unit for column in sheet.columns]
            rows.read(sheet.table, targets_of, units)
    unsettled = tuple(text for text in dict.fromkeys(days) if " may be " in reader.day(text).doubt)
    return Understood(
        sheets, rows.done, list(words.met.values()), rows.missing(), order, unsettled[:3]
    )


def _read_sheet(sheet: RawSheet, said: Said, today: date) -> ReadSheet:
    of_sheet = said.of_sheet(sheet.name)
    table = read_table(sheet, of_sheet.heading_row)
    guesses = propose(table, today)
    columns = tuple(
        ReadColumn(
            heading or f"Column {place + 1}", guess,
            of_sheet.columns.get(place, guess.target), _examples(table, place),
        )
        for place, (heading, guess) in enumerate(zip(table.headings, guesses, strict=True))
    )  # fmt: skip
    return ReadSheet(
        table, columns, of_sheet.out or not table.things, tuple(_skipped(sheet, table))
    )


def _with_days_ahead(sheet: ReadSheet, order: str, today: date) -> ReadSheet:
    """Each column of last looks with the first of its cells that lies in the future."""
    columns = tuple(
        replace(column, ahead=_first_ahead(sheet.table, place, order, today))
        if column.target == LAST_DONE else column
        for place, column in enumerate(sheet.columns)
    )  # fmt: skip
    return replace(sheet, columns=columns)


def _first_ahead(table: Table, place: int, order: str, today: date) -> str:
    cells = (" ".join(row.cells[place].split()) for row in table.things)
    return next((text for text in cells if read_last_day(text, order, today).ahead), "")[:60]


def _examples(table: Table, place: int) -> tuple[str, ...]:
    cells = dict.fromkeys(row.cells[place] for row in table.things if row.cells[place])
    return tuple(text[:60] for text in list(cells)[:3])


def _skipped(sheet: RawSheet, table: Table) -> list[str]:
    words = []
    if table.title:
        words.append(f"Above the headings: {table.title}")
    said = {"group": "taken as a heading for what follows", "total": "a total, passed over",
            "remark": "a remark, passed over", "heading again": "the headings once more"}  # fmt: skip
    for row in table.rows:
        if row.sort != "thing":
            text = " ".join(cell for cell in row.cells if cell)[:80]
            words.append(f"Row {row.number}: {said[row.sort]} (“{text}”)")
    words += [
        f"Row {row}, column {place + 1}: {why}" for (row, place), why in sheet.refused.items()
    ]
    return words


def _days_of(sheets: list[ReadSheet]) -> list[str]:
    return [
        row.cells[place]
        for sheet in sheets
        if not sheet.out
        for place, column in enumerate(sheet.columns)
        if targets()[column.target].day
        for row in sheet.table.things
        if row.cells[place]
    ]
