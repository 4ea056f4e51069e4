"""Which places a file names, makes and changes. Pure."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from venue.register.columns import PLACE
from venue.register.comparison import Comparison
from venue.register.grid import Fault, SheetRow
from venue.register.held import House, Path, PlaceHeld
from venue.register.row_reading import RowReading
from venue.register.row_values import path_words, read_path, read_place
from venue.register.written import place_cells

ABOUT_PLACE = ("place level", "place side", "place hazards", "place access")


@dataclass
class PlaceComparing:
    """The house's places, and those the file adds, by path without regard to capitals."""

    house: House
    after: dict[Path, PlaceHeld] = field(default_factory=dict)
    first_row: dict[Path, int] = field(default_factory=dict)
    said: dict[tuple[Path, str], SheetRow] = field(default_factory=dict)
    by_fold: dict[Path, Path] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for path, place in self.house.places.items():
            self.after[path] = place
            self.by_fold.setdefault(_folded(path), path)

    def path_of(self, reading: RowReading, stays: Path = ()) -> Path:
        """The place of a row, made with its parents if it is new; `stays` if nothing is said."""
        if stays and "place" not in reading.changed:
            return stays
        path = read_path(reading)
        known = self._known_or_new(path, reading.row.number) if path else ()
        if known in self.house.unclear_places and known != stays:
            words = f"there are two places {path_words(known)}; give them different names first."
            reading.fault("place", words)
        return known

    def _known_or_new(self, path: Path, row: int) -> Path:
        known: Path = ()
        for name in path:
            wanted = (*known, name)
            known = self.by_fold.setdefault(_folded(wanted), wanted)
            if known not in self.after:
                level = self.after[known[:-1]].level if known[:-1] else 0
                self.after[known] = PlaceHeld(known, level)
            self.first_row.setdefault(known, row)
        return known

    def tell(self, row: SheetRow, path: Path, comparison: Comparison) -> None:
        """Take over what the row says about its place; two rows must not disagree."""
        columns = (*ABOUT_PLACE, "walking order") if _is_place_row(row) else ABOUT_PLACE
        cells = {column: row.cells[column] for column in columns if column in row.cells}
        for column, text in cells.items():
            other = self.said.setdefault((path, column), row)
            if other.cells[column] != text:
                words = f"row {other.number} says something else about {path_words(path)}."
                comparison.faults.append(Fault(row.number, column, words))
        reading = RowReading(SheetRow(row.number, cells), place_cells(self.after[path]))
        self.after[path] = read_place(reading, self.after[path], ordered=_is_place_row(row))
        comparison.faults.extend(reading.faults)

    def conclude(self, comparison: Comparison) -> None:
        """Note every place the file named, parents before children."""
        for path, row in self.first_row.items():
            comparison.note(PLACE, row, self.house.places.get(path), self.after[path])


def compare_place_row(row: SheetRow, places: PlaceComparing, comparison: Comparison) -> None:
    reading = RowReading(replace(row, cells={"row": PLACE, **row.cells}), before={})
    reading.only_for(PLACE)
    path = places.path_of(reading)
    # What the place's own cells hold is read, and faulted, by `tell`.
    comparison.faults += [fault for fault in reading.faults if fault.column not in ABOUT_PLACE]
    if path:
        places.tell(row, path, comparison)


def _is_place_row(row: SheetRow) -> bool:
    return row.cells.get("row", "").lower() == PLACE


def _folded(path: Path) -> Path:
    return tuple(name.casefold() for name in path)
