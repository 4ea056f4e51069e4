"""The columns of a register file, and rows of cells turned into named cells. Pure."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from functools import lru_cache

from venue.register.grid import Cell, Fault, Grid, Refused, Sheet, SheetRow, UnreadableFile
from venue.register.guard import unguarded

PLACE, EQUIPMENT, PART = "place", "equipment", "part"
ROW_TYPES = (PLACE, EQUIPMENT, PART)
EXAMPLE = "example"  # rows that begin so are shown, never imported
BETWEEN_PLACES = " / "
BETWEEN_ITEMS = " | "
LONGEST_GUESSED = 80

# Column, the row types that may fill it, what it means.
FIXED: dict[str, tuple[frozenset[str], str]] = {
    "row": (frozenset(ROW_TYPES), "What the row describes: place, equipment or part."),
    "place": (
        frozenset({PLACE, EQUIPMENT}),
        "The way to the place from the top, levels parted by “ / ”: Stage house / Gridiron. "
        "Places not known yet are made.",
    ),
    "tag": (
        frozenset({EQUIPMENT, PART}),
        "The equipment's tag, once per venue. A part row repeats the tag of its equipment.",
    ),
    "part code": (frozenset({PART}), "The part's position in its equipment: line 3."),
    "kind": (
        frozenset({EQUIPMENT, PART}),
        "The kind of equipment or of part, by short name or label. Never changed by import.",
    ),
    "name": (
        frozenset({EQUIPMENT, PART}),
        "What people call it. A part without one takes its kind's label.",
    ),
    "standing": (
        frozenset({EQUIPMENT}),
        "installed, stored or gone. Empty for new equipment means installed.",
    ),
    "walking order": (frozenset(ROW_TYPES), "A whole number; rounds go from low to high."),
    "serial": (frozenset({EQUIPMENT}), "The maker's serial number, as written."),
    "made on": (frozenset({EQUIPMENT}), "As known: 1997, or unknown."),
    "identifier": (
        frozenset({PART}),
        "What is written on the part itself. A different identifier is a different part: "
        "replace it on its own page.",
    ),
    "installed on": (frozenset({PART}), "The day the part was fitted: 2021-03-04."),
    "note": (
        frozenset({EQUIPMENT, PART}),
        "Whatever else is known, in one line.",
    ),
    "place level": (
        frozenset({PLACE, EQUIPMENT}),
        "Height order in the house, from the lowest machine pit (0) up.",
    ),
    "place side": (
        frozenset({PLACE, EQUIPMENT}),
        "stage left, centre or stage right, as the performer who faces the house says it.",
    ),
    "place hazards": (frozenset({PLACE, EQUIPMENT}), "Sentences parted by “ | ”."),
    "place access": (
        frozenset({PLACE, EQUIPMENT}),
        "Access states the place needs, by short name, parted by “ | ”.",
    ),
}
RATED, RATED_SOURCE, FIELD = "rated: ", "rated source: ", "field: "


def rated_column(purpose: str) -> str:
    return RATED + purpose


def source_column(purpose: str) -> str:
    return RATED_SOURCE + purpose


def field_column(name: str) -> str:
    return FIELD + name


def rows_that_fill(column: str) -> frozenset[str]:
    """The row types that may hold something in a known column.

    >>> sorted(rows_that_fill("rated: moving")), sorted(rows_that_fill("field: travel"))
    (['equipment'], ['equipment', 'part'])
    """
    if column in FIXED:
        return FIXED[column][0]
    return frozenset({EQUIPMENT, PART} if column.startswith(FIELD) else {EQUIPMENT})


def all_columns(purposes: Iterable[str], fields: Iterable[str]) -> tuple[str, ...]:
    """Every column, in the order files are written."""
    rated = [
        column for purpose in purposes for column in (rated_column(purpose), source_column(purpose))
    ]
    return (*FIXED, *rated, *(field_column(name) for name in fields))


def heading(text: str) -> str:
    """A heading as it is known: capitals, spaces and underlines do not matter.

    >>> heading(" Field:  Nominal diameter "), heading("Part_Code"), heading("RATED: at rest")
    ('field: nominal_diameter', 'part code', 'rated: at_rest')
    """
    first, colon, rest = text.strip().lower().partition(":")
    first = _spaced(first)
    return f"{first}: {_spaced(rest).replace(' ', '_')}" if colon else first


def _spaced(text: str) -> str:
    return " ".join(text.replace("_", " ").split())


def nearest(word: str, known: Iterable[str]) -> str:
    """The most similar known word as a suggestion, or nothing.

    >>> nearest("seriel", ["serial", "standing"]), nearest("zzz", ["serial"])
    (' Did you mean “serial”?', '')
    """
    return _nearest(word[:LONGEST_GUESSED], tuple(known))


# A spreadsheet repeats its mistakes down a column.
@lru_cache(maxsize=2_000)
def _nearest(word: str, known: tuple[str, ...]) -> str:
    close = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    return f" Did you mean “{close[0]}”?" if close else ""


def read_sheet(grid: Grid, known: Iterable[str]) -> Sheet:
    """Name the cells by the heading row; every heading that is not known is a fault."""
    number, cells = _first_row(grid)
    names = [heading(cell) if isinstance(cell, str) else "" for cell in cells]
    known = set(known)
    sheet = Sheet(tuple(names), faults=list(_heading_faults(number, names, cells, known)))
    for number, cells in grid:
        if any(not isinstance(cell, str) or cell.strip() for cell in cells):
            _add_row(sheet, number, cells, known)
    return sheet


def _first_row(grid: Grid) -> tuple[int, list[Cell]]:
    for number, cells in grid:
        if any(not isinstance(cell, str) or cell.strip() for cell in cells):
            return number, cells
    raise UnreadableFile("The file is empty. The first row must hold the names of the columns.")


def _heading_faults(
    number: int, names: list[str], cells: list[Cell], known: set[str]
) -> Iterator[Fault]:
    seen: set[str] = set()
    for name, cell in zip(names, cells, strict=True):
        if isinstance(cell, Refused):
            yield Fault(number, "", f"a heading {cell.words}.")
        elif name and name not in known:
            words = f"this column is not known.{nearest(name, sorted(known))}"
            yield Fault(number, _shortened(cell.strip()), words)
        elif name in seen:
            yield Fault(number, name, "this column stands there twice.")
        seen.add(name)
    missing = [name for name in ("row", "tag") if name not in seen]
    for name in missing:
        yield Fault(number, name, "this column is missing; every file needs it.")


def _shortened(text: str) -> str:
    return text if len(text) <= 60 else f"{text[:60]}…"


def _add_row(sheet: Sheet, number: int, cells: list[Cell], known: set[str]) -> None:
    named: dict[str, str] = {}
    refused: set[str] = set()
    for position, cell in enumerate(cells):
        name = sheet.columns[position] if position < len(sheet.columns) else ""
        if isinstance(cell, Refused):
            sheet.faults.append(Fault(number, name, f"{cell.words}."))
            refused.add(name)
        elif cell.strip() and not name:
            words = f"a cell holds “{_shortened(cell.strip())}”, but its column has no heading."
            sheet.faults.append(Fault(number, "", words))
        elif cell.strip() and name in known:
            named[name] = unguarded(cell.strip())
    if named or refused:
        sheet.rows.append(SheetRow(number, named, frozenset(refused)))
