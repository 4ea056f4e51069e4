"""One thing typed on screen, read by the same code that reads a row of a register file. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from venue.register.compare import compare
from venue.register.comparison import Comparison, differences_between
from venue.register.grid import Fault, Sheet, SheetRow
from venue.register.guard import EMPTIED
from venue.register.held import EquipmentHeld, House, PartHeld, Path, PlaceHeld
from venue.register.row_reading import RowReading
from venue.register.row_values import DEEPEST, read_path, read_place
from venue.register.written import place_cells

Cells = Mapping[str, str]
ROW = 1  # a screen holds one thing
ABOUT_PLACE = ("place level", "walking order", "place side", "place hazards", "place access")


def row_of(typed: Cells, shown: Cells) -> SheetRow:
    """What was typed as the row of a file. In a file an empty cell says nothing; on screen a field
    that showed something and is empty now was emptied.

    >>> row_of({"name": " Winch ", "serial": "", "made on": ""}, {"serial": "LT-1"}).cells
    {'name': 'Winch', 'serial': '\\x00'}
    """
    cells = {}
    for column, text in typed.items():
        if text.strip():
            cells[column] = text.strip()
        elif shown.get(column):
            cells[column] = EMPTIED
    return SheetRow(ROW, cells)


def read_typed(row: SheetRow, house: House) -> Comparison:
    """What the row would create or change in the house, and everything wrong with it."""
    return compare(Sheet(tuple(row.cells), [row]), house)


def same_thing(held: EquipmentHeld | PartHeld | PlaceHeld, comparison: Comparison) -> bool:
    """Whether what was read is, in every cell, what is held already: the same form sent twice."""
    return any(not differences_between(held, change.after) for change in comparison.changes)


def changed_meanwhile(shown: Cells, now: Cells) -> dict[str, tuple[str, str]]:
    """The cells that are no longer as they were shown: column, then before and now.

    >>> changed_meanwhile({"name": "Winch"}, {"name": "Hoist", "serial": "1"})
    {'name': ('Winch', 'Hoist'), 'serial': ('', '1')}
    """
    columns = [*now, *(column for column in shown if column not in now)]
    return {
        column: (shown.get(column, ""), now.get(column, ""))
        for column in columns
        if shown.get(column, "") != now.get(column, "")
    }


def read_typed_place(
    known: PlaceHeld, parent: Path, typed: Cells, house: House
) -> tuple[PlaceHeld, list[Fault]]:
    """A place after what was typed; `known` without a path is a new one. A file cannot rename or
    move a place: here `place` is the place's own name, and `parent` where it stands from now on."""
    naming = RowReading(SheetRow(ROW, {"place": typed.get("place", "").strip()}), {})
    path = _path_under(parent, naming)
    if known.path and parent[: len(known.path)] == known.path:
        naming.fault("parent", "a place cannot stand in itself or in what stands in it.")
    about = {column: typed.get(column, "") for column in ABOUT_PLACE}
    shown = place_cells(known) if known.path else {}
    reading = RowReading(row_of(about, shown), place_cells(known))
    after = read_place(reading, known, ordered=True)
    return replace(after, path=path or known.path), [*naming.faults, *reading.faults]


def place_there(path: Path, house: House, *, but: Path = ()) -> PlaceHeld | None:
    """The place of that path, without regard to capitals, that is not the one at `but`."""
    folded = tuple(name.casefold() for name in path)
    others = (held for one, held in house.places.items() if one != but)
    return next((one for one in others if tuple(map(str.casefold, one.path)) == folded), None)


def _path_under(parent: Path, naming: RowReading) -> Path:
    names = read_path(naming)
    if len(names) > 1:
        naming.fault("place", "a name holds no “ / ”: it parts a place from what stands in it.")
    elif names and len(parent) >= DEEPEST:
        naming.fault("place", f"goes {len(parent) + 1} levels deep; at most {DEEPEST} are kept.")
    return (*parent, *names) if names else ()
