"""What the house holds, written as the cells of a register file. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

from venue.quantities import UNITS, Quantity, UnreadableQuantity, exact_text, read_quantity
from venue.register.columns import (
    BETWEEN_ITEMS,
    BETWEEN_PLACES,
    EQUIPMENT,
    PART,
    PLACE,
    all_columns,
    field_column,
    rated_column,
    source_column,
)
from venue.register.held import EquipmentHeld, House, PartHeld, Path, PlaceHeld

Cells = dict[str, str]


def place_cells(place: PlaceHeld) -> Cells:
    return _filled(
        {
            "row": PLACE,
            "place": path_text(place.path),
            "walking order": str(place.walking_order),
            "place level": str(place.level),
            "place side": place.side,
            "place hazards": BETWEEN_ITEMS.join(place.hazards),
            "place access": BETWEEN_ITEMS.join(place.access),
        }
    )


def equipment_cells(equipment: EquipmentHeld) -> Cells:
    cells = {
        "row": EQUIPMENT,
        "place": path_text(equipment.place),
        "tag": equipment.tag,
        "kind": equipment.kind,
        "name": equipment.name,
        "standing": equipment.standing,
        "walking order": str(equipment.walking_order),
        "serial": equipment.serial,
        "made on": equipment.made_on,
        "note": equipment.note,
    }
    for purpose, rated in equipment.rated.items():
        cells[rated_column(purpose)] = field_text(rated.quantity)
        cells[source_column(purpose)] = rated.source
    return _filled(cells | _field_cells(equipment.fields))


def part_cells(part: PartHeld) -> Cells:
    cells = {
        "row": PART,
        "tag": part.tag,
        "part code": part.code,
        "kind": part.kind,
        "name": part.name,
        "walking order": str(part.walking_order),
        "identifier": part.identifier,
        "installed on": part.installed_on.isoformat() if part.installed_on else "",
        "note": part.note,
    }
    return _filled(cells | _field_cells(part.fields))


def path_text(path: Path) -> str:
    return BETWEEN_PLACES.join(path)


def field_text(stored: Any) -> str:
    """A stored field as a person would type it; a quantity as it was typed, with its unit.

    >>> field_text(read_quantity("3/8", "length", "in").stored()), field_text(True), field_text(8)
    ('3/8 in', 'yes', '8')
    """
    if stored is None:
        return ""
    if isinstance(stored, bool):
        return "yes" if stored else "no"
    if isinstance(stored, dict):
        return _quantity_text(stored["typed"], stored["value"], stored["unit"], stored["dimension"])
    return str(stored)


@lru_cache(maxsize=20_000)
def _quantity_text(typed: str, value: str, unit: str, dimension: str) -> str:
    # A bare number was typed beside a unit on the page; in a file the unit must stand with it.
    kept = Quantity.from_stored(
        {"typed": typed, "value": value, "unit": unit, "dimension": dimension}
    )
    label = UNITS[unit].code
    for text in (typed, f"{typed} {label}", f"{exact_text(kept.value)} {label}"):
        try:
            read = read_quantity(text, dimension, allow_negative=True)
        except UnreadableQuantity:
            continue
        if (read.value, read.unit) == (kept.value, kept.unit):
            return text
    return typed


def _field_cells(fields: dict[str, Any]) -> Cells:
    return {field_column(name): field_text(stored) for name, stored in fields.items()}


def _filled(cells: Cells) -> Cells:
    stripped = {column: text.strip() for column, text in cells.items()}
    return {column: text for column, text in stripped.items() if text}


def register_rows(house: House, columns: Sequence[str]) -> Iterator[list[str]]:
    """The whole register: heading, places, then each piece of equipment with its parts."""
    yield list(columns)
    for cells in _cells_of(house):
        yield [cells.get(column, "") for column in columns]


def register_columns(house: House) -> list[str]:
    """The columns beyond the fixed ones that something in the house fills."""
    equipment, parts = list(house.equipment.values()), list(house.parts.values())
    purposes = {purpose for one in equipment for purpose in one.rated}
    names = {name for one in equipment for name in one.fields}
    names |= {name for part in parts for name in part.fields}
    return [*all_columns(sorted(purposes), sorted(names))]


def _cells_of(house: House) -> Iterator[Cells]:
    parts: dict[str, list[PartHeld]] = {}
    for part in house.parts.values():
        parts.setdefault(part.tag, []).append(part)
    yield from (place_cells(place) for place in house.places.values())
    for equipment in house.equipment.values():
        yield equipment_cells(equipment)
        yield from (part_cells(part) for part in parts.get(equipment.tag, []))
