"""What a kept spreadsheet is understood as, and what reading it in would do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from venue.kind_files import kinds, part_kinds
from venue.models import Equipment, Spreadsheet, Venue
from venue.queries.listed_days import fresh_looks, looks_digest
from venue.queries.register import register_rows_of
from venue.register.columns import RATED, RATED_SOURCE
from venue.register.compare import compare
from venue.register.comparison import Comparison
from venue.register.grid import Fault
from venue.register.guard import NOT_KNOWN
from venue.register.reading import read_file
from venue.spreadsheet.row_shapes import LastLooked, UnderstoodRow
from venue.spreadsheet.saying import OUT, Said
from venue.spreadsheet.sheets import RawFile, read_sheets
from venue.spreadsheet.targets import LAST_DONE, NOTE, NOTHING, PLAIN, ROPE, targets
from venue.spreadsheet.understanding import Understood, understand

SAID_FIRST = ("row", "tag", "kind", "name", "place", "note")
HEADING = 1  # the first row of the register file that is made


@dataclass(frozen=True)
class SeenRow:
    """A row as it is shown: what it is, what was read of it, what is in doubt."""

    row: UnderstoodRow
    kind: str
    facts: list[tuple[str, str]]
    faults: list[str]


@dataclass(frozen=True)
class Seen:
    """Everything the page says of a spreadsheet."""

    raw: RawFile
    said: Said
    understood: Understood
    comparison: Comparison | None  # nothing where no row is ready
    rows: list[SeenRow]
    faults: int
    fresh: dict[str, LastLooked]  # by tag, days of a last look that are not known yet

    @property
    def doubtful(self) -> list[SeenRow]:
        return [one for one in self.rows if one.faults or one.row.doubts or one.row.out]

    @property
    def clear(self) -> list[SeenRow]:
        return [one for one in self.rows if not (one.faults or one.row.doubts or one.row.out)]

    @property
    def may_be_read_in(self) -> bool:
        if self.comparison is None or self.faults or self.understood.ambiguous:
            return False
        return bool(self.comparison.changes or self.fresh)

    @property
    def digest(self) -> str:
        """Of everything that is shown: the register, and the days of a last look."""
        if self.comparison is None:
            return ""
        return f"{self.comparison.digest()}-{looks_digest(self.understood.last_looks)}"


def understood_of(
    spreadsheet: Spreadsheet, at: datetime, said: Said | None = None
) -> tuple[RawFile, Said, Understood]:
    """As it was said of it before, or as it would be with what is said now."""
    venue, said = spreadsheet.venue, said or Said.from_stored(spreadsheet.said)
    raw = read_sheets(bytes(spreadsheet.content), said.encoding)
    tags = Equipment.objects.in_venue(venue).values_list("tag", flat=True)
    today = at.astimezone(venue.zone).date()
    found = understand(
        raw, said, unit_habit=venue.unit_habit, dialect=venue.dialect, today=today, held=set(tags)
    )
    return raw, said, found


def would_be_otherwise(spreadsheet: Spreadsheet, said: Said, at: datetime) -> bool:
    """Whether what is said now would bring something else into the register. A proposal that is said
    as it stands brings the same."""
    _, before, understood = understood_of(spreadsheet, at)
    if said == before:
        return False
    again = understood_of(spreadsheet, at, said)[2]
    shown = understood.register_file(), understood.last_looks
    return (again.register_file(), again.last_looks) != shown


def seen(spreadsheet: Spreadsheet, at: datetime) -> Seen:
    venue = spreadsheet.venue
    raw, said, understood = understood_of(spreadsheet, at)
    comparison = _compared(venue, understood, at)
    faults = _faults_by_row(understood, comparison.faults if comparison else [])
    rows = [_seen_row(row, venue.dialect, faults.get(id(row), [])) for row in understood.rows]
    rows.sort(key=lambda one: (not one.faults, not one.row.doubts, not one.row.out))
    count = len(comparison.faults) if comparison else 0
    fresh = fresh_looks(venue, understood.last_looks)
    return Seen(raw, said, understood, comparison, rows, count, fresh)


def _compared(venue: Venue, understood: Understood, at: datetime) -> Comparison | None:
    content = understood.register_file()
    if not content:
        return None
    house = register_rows_of(venue, at.astimezone(venue.zone).date()).house
    return compare(read_file(content, house), house)


def _faults_by_row(understood: Understood, faults: Iterable[Fault]) -> dict[int, list[str]]:
    """The register's faults, told of the rows that the person knows."""
    origins = [row for row, _ in understood.register_rows()]
    found: dict[int, list[str]] = {}
    for fault in faults:
        place = fault.row - HEADING - 1
        if 0 <= place < len(origins):
            words = found.setdefault(id(origins[place]), [])
            sentence = f"{column_words(fault.column)}: {fault.words}"
            if sentence not in words:
                words.append(sentence)
    return found


def _seen_row(row: UnderstoodRow, dialect: str, faults: list[str]) -> SeenRow:
    kind = kinds().get(row.cells.get("kind", ""))
    facts = [
        (column_words(column), text)
        for column, text in row.cells.items()
        if column not in SAID_FIRST and not column.startswith(RATED_SOURCE) and text != NOT_KNOWN
    ]
    if row.parts:
        facts.append(("Ropes", _ropes_words(row)))
    if row.last:
        facts.append((PLAIN[LAST_DONE], row.last.day.isoformat()))
    return SeenRow(row, kind.label(dialect) if kind else "", facts, faults)


def _ropes_words(row: UnderstoodRow) -> str:
    first = row.parts[0]
    known = [text for column, text in first.items()
             if column not in (*SAID_FIRST, "part code") and text != NOT_KNOWN]  # fmt: skip
    return f"{len(row.parts)} × {', '.join(known)}"


def column_words(column: str) -> str:
    """A column of the register as people call it."""
    if column.startswith(RATED):
        return f"Rated load, {column.removeprefix(RATED).replace('_', ' ')}"
    known = targets().get(column)
    return known.words if known else column.capitalize()


def targets_offered(understood: Understood) -> list[tuple[str, list[tuple[str, str]]]]:
    """For what a column may be, in groups: the fields only of kinds that the file has."""
    there = {word.slug for word in understood.kind_words} - {"", OUT}
    fields = {f"field: {one.name}" for slug in there for one in kinds()[slug].fields}
    asked = {column.target for sheet in understood.sheets for column in sheet.columns}
    every = targets()
    return [
        ("Every thing", [(key, every[key].words) for key in PLAIN]),
        ("Fields of these kinds",
         [(key, one.words) for key, one in every.items() if key in fields | asked and key.startswith("field: ")]),
        ("Their ropes", [(key, one.words) for key, one in every.items() if key.startswith(ROPE)]),
        ("Otherwise", [(key, every[key].words) for key in (NOTE, NOTHING)]),
    ]  # fmt: skip


def kinds_offered(dialect: str) -> list[tuple[str, str]]:
    labels = [(kind.slug, kind.label(dialect)) for kind in kinds().values()]
    return [*sorted(labels, key=lambda one: one[1]), (OUT, "None of these: leave the rows out")]


def kind_or_part_label(slug: str, dialect: str) -> str:
    kind = kinds().get(slug) or part_kinds()[slug]
    return kind.label(dialect)
