"""One row as the equipment, part or place it describes, with every fault of the row. Pure."""

from __future__ import annotations

import re

from venue.kind_files import ACCESS, Kind, kinds, part_kinds
from venue.place_sides import read_side
from venue.register.columns import BETWEEN_PLACES, EQUIPMENT, PART, nearest
from venue.register.guard import EMPTIED
from venue.register.held import EquipmentHeld, House, PartHeld, Path, PlaceHeld
from venue.register.kind_words import fields_of_row, kind_of_row, rated_of_row
from venue.register.row_reading import RowReading, one_line
from venue.register.written import path_text

LONGEST_TAG = LONGEST_CODE = LONGEST_MADE_ON = 40
LONGEST_NAME = 200
LONGEST_SERIAL = 120
LONGEST_NOTE = 3_000
DEEPEST = 12
HIGHEST_LEVEL = 1_000
LONGEST_SIDE = 40


def read_equipment(
    reading: RowReading, tag: str, before: EquipmentHeld | None, place: Path, house: House
) -> EquipmentHeld:
    """The equipment after the row. With faults in the reading it is only good for showing."""
    known = before or EquipmentHeld(tag=tag, kind="", name="", place=place)
    reading.only_for(EQUIPMENT)
    kind = kind_of_row(reading, kinds(), known.kind, "equipment")
    return EquipmentHeld(
        tag=tag,
        kind=known.kind or (kind.slug if kind else ""),
        name=reading.line("name", known.name, LONGEST_NAME, needed=True),
        place=place,
        standing=reading.standing(known.standing),
        walking_order=reading.whole("walking order", known.walking_order),
        serial=reading.line("serial", known.serial, LONGEST_SERIAL),
        made_on=reading.line("made on", known.made_on, LONGEST_MADE_ON),
        note=reading.line("note", known.note, LONGEST_NOTE),
        fields=fields_of_row(reading, kind, known.fields, house.unit_habit),
        rated=rated_of_row(reading, kind, known.rated, house.unit_habit),
    )


def read_part(
    reading: RowReading,
    key: tuple[str, str],
    before: PartHeld | None,
    inside: EquipmentHeld,
    house: House,
) -> PartHeld:
    """The part after the row. Another identifier is another part, and is refused here."""
    known = before or PartHeld(tag=key[0], code=key[1], kind="", name="")
    reading.only_for(PART)
    kind = kind_of_row(reading, part_kinds(), known.kind, "part")
    if kind and not before:
        _belongs(reading, kind.slug, inside)
    identifier = reading.line("identifier", known.identifier, LONGEST_SERIAL)
    if known.identifier and identifier != known.identifier:
        _another_part(reading, known.identifier)
    label = kind.label(house.dialect) if kind else ""
    return PartHeld(
        tag=key[0],
        code=key[1],
        kind=known.kind or (kind.slug if kind else ""),
        name=reading.line("name", known.name or label, LONGEST_NAME, needed=bool(kind)),
        identifier=identifier,
        installed_on=reading.day("installed on", known.installed_on, house.today),
        walking_order=reading.whole("walking order", known.walking_order),
        note=reading.line("note", known.note, LONGEST_NOTE),
        fields=fields_of_row(reading, kind, known.fields, house.unit_habit),
    )


def _belongs(reading: RowReading, part_kind: str, inside: EquipmentHeld) -> None:
    kind: Kind | None = kinds().get(inside.kind)
    slots = [slot.kind for slot in kind.part_kinds] if kind else []
    if kind and part_kind not in slots:
        has = f"Its parts are: {', '.join(slots)}." if slots else "It has no parts."
        reading.fault("kind", f"a {part_kind} is not a part of a {kind.slug} ({inside.tag}). {has}")


def _another_part(reading: RowReading, known: str) -> None:
    reading.fault(
        "identifier",
        f"the part in use here is “{known}”. Another identifier is another part with a life of its "
        "own: retire the old one and put in its successor on the part's page.",
    )


def read_place(reading: RowReading, known: PlaceHeld, *, ordered: bool) -> PlaceHeld:
    """The place after the row's cells about it."""
    access = reading.items("place access", known.access)
    for word in set(access) - set(ACCESS) - set(known.access):
        reading.fault(
            "place access", f"“{word}” is not a known access state.{nearest(word, ACCESS)}"
        )
    order = reading.whole("walking order", known.walking_order) if ordered else known.walking_order
    return PlaceHeld(
        path=known.path,
        level=reading.whole("place level", known.level, HIGHEST_LEVEL),
        walking_order=order,
        hazards=reading.items("place hazards", known.hazards),
        access=access,
        side=_side(reading, known.side),
    )


def _side(reading: RowReading, known: str) -> str:
    text = reading.line("place side", known, LONGEST_SIDE)
    side = read_side(text) if text else ""
    if side is None:
        reading.fault(
            "place side",
            f"“{text}” does not say which side; write stage left, centre or stage right.",
        )
    return known if side is None else side


def read_path(reading: RowReading) -> Path:
    """The place path of a row, or () with the fault noted."""
    text = reading.row.cells.get("place", "")
    if text in ("", EMPTIED):
        reading.fault("place", "is empty; it is needed.")
        return ()
    names = tuple(one_line(name) for name in re.split(r"(?:(?<=\s)|\A)/(?=\s|\Z)", text))
    if not all(names):
        reading.fault(
            "place", f"“{text}” has an empty name between two “{BETWEEN_PLACES.strip()}”."
        )
    elif len(names) > DEEPEST:
        reading.fault("place", f"goes {len(names)} levels deep; at most {DEEPEST} are kept.")
    elif max(map(len, names)) > LONGEST_NAME:
        reading.fault("place", f"holds a name longer than {LONGEST_NAME} characters.")
    else:
        return names
    return ()


def path_words(path: Path) -> str:
    return f"“{path_text(path)}”"
