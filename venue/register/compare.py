"""Compare a register file with what the house holds. Pure; nothing is written."""

from __future__ import annotations

from dataclasses import dataclass, field

from venue.register.columns import EQUIPMENT, EXAMPLE, PART, PLACE, ROW_TYPES, nearest
from venue.register.comparison import Comparison
from venue.register.grid import Fault, Sheet, SheetRow
from venue.register.held import EquipmentHeld, House, PartHeld, PartKey
from venue.register.place_compare import PlaceComparing, compare_place_row
from venue.register.row_reading import RowReading
from venue.register.row_values import LONGEST_CODE, LONGEST_TAG, read_equipment, read_part
from venue.register.written import equipment_cells, part_cells


def compare(sheet: Sheet, house: House) -> Comparison:
    """Everything the file would create or change, and everything wrong with it."""
    comparison = Comparison(faults=list(sheet.faults))
    rows = _rows_by_type(sheet, comparison)
    comparing = _Comparing(house, comparison, PlaceComparing(house))
    for row in rows[PLACE]:
        compare_place_row(row, comparing.places, comparison)
    for row in rows[EQUIPMENT]:
        comparing.equipment_row(row)
    for row in rows[PART]:
        comparing.part_row(row)
    comparing.places.conclude(comparison)
    _note_untouched(comparing)
    comparison.faults = sorted(set(comparison.faults))
    return comparison


def _rows_by_type(sheet: Sheet, comparison: Comparison) -> dict[str, list[SheetRow]]:
    rows: dict[str, list[SheetRow]] = {row_type: [] for row_type in ROW_TYPES}
    for row in sheet.rows:
        said = row.cells.get("row", "").strip().lower()
        if said.startswith(EXAMPLE):
            comparison.examples += 1
        elif said in rows:
            rows[said].append(row)
        elif "row" not in row.refused and "row" in sheet.columns:
            words = f"“{said}” is none of place, equipment, part.{nearest(said, ROW_TYPES)}"
            words = words if said else "is empty; say place, equipment or part."
            comparison.faults.append(Fault(row.number, "row", words))
    return rows


@dataclass
class _Comparing:
    house: House
    comparison: Comparison
    places: PlaceComparing
    rows_of_tags: dict[str, int] = field(default_factory=dict)
    rows_of_parts: dict[PartKey, int] = field(default_factory=dict)
    equipment: dict[str, EquipmentHeld] = field(default_factory=dict)
    spellings: dict[str, str] = field(default_factory=dict)
    # Looking for a similar tag among thousands takes time; a file of wrong tags needs few hints.
    guesses_left: int = 50

    def __post_init__(self) -> None:
        self.spellings = {tag.casefold(): tag for tag in self.house.equipment}

    def equipment_row(self, row: SheetRow) -> None:
        tag = row.cells.get("tag", "")
        before = self.house.equipment.get(tag)
        reading = RowReading(row, equipment_cells(before) if before else {})
        if before is None:
            tag = reading.code("tag", LONGEST_TAG)
            before = self.house.equipment.get(tag)
        self._only_once(reading, tag, before)
        place = self.places.path_of(reading, before.place if before else ())
        after = read_equipment(reading, tag, before, place, self.house)
        self.equipment.setdefault(tag, after)
        if place:
            self.places.tell(row, place, self.comparison)
        self._conclude(reading, EQUIPMENT, before, after)

    def _only_once(self, reading: RowReading, tag: str, before: EquipmentHeld | None) -> None:
        first = self.rows_of_tags.setdefault(tag, reading.row.number)
        other = self.spellings.setdefault(tag.casefold(), tag)
        if tag and first != reading.row.number:
            reading.fault("tag", f"{tag} stands in row {first} already; a tag names one thing.")
        elif tag and other != tag and before is None:
            reading.fault(
                "tag",
                f"{tag} differs only by capitals from {other}. Write the same tag, or another.",
            )

    def part_row(self, row: SheetRow) -> None:
        key = (row.cells.get("tag", ""), row.cells.get("part code", ""))
        before = self.house.parts.get(key)
        reading = RowReading(row, part_cells(before) if before else {})
        if before is None:
            key = (reading.code("tag", LONGEST_TAG), reading.code("part code", LONGEST_CODE))
            before = self.house.parts.get(key)
        first = self.rows_of_parts.setdefault(key, row.number)
        if all(key) and first != row.number:
            reading.fault("part code", f"{key[1]} of {key[0]} stands in row {first} already.")
        inside = self.equipment.get(key[0]) or self.house.equipment.get(key[0])
        if inside is None:
            self._no_equipment(reading, key[0])
            inside = EquipmentHeld(tag=key[0], kind="", name="", place=())
        after = read_part(reading, key, before, inside, self.house)
        self._conclude(reading, PART, before, after)

    def _no_equipment(self, reading: RowReading, tag: str) -> None:
        if tag:
            self.guesses_left -= 1
            known = [*self.equipment, *self.house.equipment] if self.guesses_left >= 0 else []
            words = (
                f"equipment {tag} is neither in this file nor in the house.{nearest(tag, known)}"
            )
            reading.fault("tag", words)

    def _conclude(
        self, reading: RowReading, what: str, before: EquipmentHeld | PartHeld | None,
        after: EquipmentHeld | PartHeld,
    ) -> None:  # fmt: skip
        # A cell that could not be read has its own fault; that it is then missing is no second one.
        own = [fault for fault in reading.faults if fault.column not in reading.row.refused]
        self.comparison.faults += own
        if not reading.faults and not reading.row.refused:
            self.comparison.note(what, reading.row.number, before, after)


def _note_untouched(comparing: _Comparing) -> None:
    house, comparison = comparing.house, comparing.comparison
    comparison.untouched_equipment = [
        tag for tag in house.equipment if tag not in comparing.rows_of_tags
    ]
    comparison.untouched_parts = [
        f"{tag}, {code}" for tag, code in house.parts if (tag, code) not in comparing.rows_of_parts
    ]
