"""The register of a venue as plain values, in four queries however large the house is."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from datetime import date

from venue.models import Equipment, Part, Place, RatedLoad, Venue
from venue.register.csv_text import write_csv
from venue.register.held import (
    EquipmentHeld,
    House,
    PartHeld,
    PartKey,
    Path,
    PlaceHeld,
    RatedLoadHeld,
)
from venue.register.kind_words import export_columns
from venue.register.template import template_rows, template_sheets
from venue.register.written import equipment_cells, part_cells, register_rows
from venue.register.xlsx_sheet import SHEET, write_xlsx


@dataclass
class RegisterRows:
    """What the house holds, and the rows that hold it."""

    house: House
    places: dict[Path, Place] = field(default_factory=dict)
    equipment: dict[str, Equipment] = field(default_factory=dict)
    rated: dict[tuple[str, str], RatedLoad] = field(default_factory=dict)
    parts: dict[PartKey, Part] = field(default_factory=dict)


def register_rows_of(
    venue: Venue, today: date, tags: Collection[str] | None = None
) -> RegisterRows:
    """The whole register, or only the equipment of some tags with its parts, and every place."""
    rows = RegisterRows(House(venue.unit_habit, venue.dialect, today))
    paths = _add_places(rows, venue)
    _add_equipment(rows, venue, paths, tags)
    in_use = Part.objects.in_venue(venue).filter(retired_on__isnull=True)
    if tags is not None:
        in_use = in_use.filter(equipment__tag__in=tags)
    for part in in_use.select_related("equipment").order_by("walking_order", "code", "pk"):
        key = (part.equipment.tag, part.code)
        rows.parts[key] = part
        rows.house.parts[key] = _part_held(part)
    return rows


def _add_places(rows: RegisterRows, venue: Venue) -> dict[int, Path]:
    places = {place.pk: place for place in Place.objects.in_venue(venue)}
    paths = {pk: _path(place, places) for pk, place in places.items()}
    for pk in sorted(places, key=lambda pk: (len(paths[pk]), places[pk].walking_order, pk)):
        path, place = paths[pk], places[pk]
        if path in rows.places:
            rows.house.unclear_places.add(path)
            continue
        rows.places[path] = place
        rows.house.places[path] = PlaceHeld(
            path,
            place.level,
            place.walking_order,
            tuple(place.hazards),
            tuple(place.access),
            place.side,
        )
    return paths


def path_of_place(place: Place | None, rows: RegisterRows) -> Path:
    """The way to a place from the top; () for none."""
    if place is None:
        return ()
    return _path(place, {one.pk: one for one in rows.places.values()} | {place.pk: place})


def _path(place: Place, places: dict[int, Place]) -> Path:
    names: list[str] = []
    seen: set[int] = set()
    here: Place | None = place
    while here is not None and here.pk not in seen:
        seen.add(here.pk)
        names.insert(0, here.name)
        here = places.get(here.parent_id) if here.parent_id else None
    return tuple(names)


def tags_like(venue: Venue, tag: str) -> set[str]:
    """The tags in the venue that differ from this one by capitals only, and the tag itself."""
    tags = Equipment.objects.in_venue(venue).values_list("tag", flat=True)
    return {one for one in tags if one.casefold() == tag.casefold()}


def _add_equipment(
    rows: RegisterRows, venue: Venue, paths: dict[int, Path], tags: Collection[str] | None
) -> None:
    pieces = Equipment.objects.in_venue(venue).order_by("walking_order", "tag")
    loads = RatedLoad.objects.in_venue(venue).select_related("equipment")
    if tags is not None:
        pieces, loads = pieces.filter(tag__in=tags), loads.filter(equipment__tag__in=tags)
    rated: dict[int, dict[str, RatedLoadHeld]] = {}
    for load in loads:
        rows.rated[load.equipment.tag, load.purpose] = load
        held = RatedLoadHeld(load.quantity, load.source)
        rated.setdefault(load.equipment_id, {})[load.purpose] = held
    for equipment in pieces:
        rows.equipment[equipment.tag] = equipment
        rows.house.equipment[equipment.tag] = EquipmentHeld(
            tag=equipment.tag,
            kind=equipment.kind,
            name=equipment.name,
            place=paths[equipment.place_id],
            standing=equipment.standing,
            walking_order=equipment.walking_order,
            serial=equipment.serial,
            made_on=equipment.made_on,
            note=equipment.note or "",
            fields=equipment.fields,
            rated=rated.get(equipment.pk, {}),
        )


def _part_held(part: Part) -> PartHeld:
    return PartHeld(
        tag=part.equipment.tag,
        code=part.code,
        kind=part.kind,
        name=part.name,
        identifier=part.identifier,
        installed_on=part.installed_on,
        walking_order=part.walking_order,
        note=part.note or "",
        fields=part.fields,
    )


def cells_of_equipment(equipment: Equipment) -> dict[str, str]:
    """The equipment as a row of a register file, as it is now."""
    no_day = date.min  # of no matter to someone who only looks
    rows = register_rows_of(equipment.venue, no_day, {equipment.tag})
    return equipment_cells(rows.house.equipment[equipment.tag])


def cells_of_part(part: Part) -> dict[str, str]:
    return part_cells(_part_held(part))


def register_file(venue: Venue, file_type: str, today: date) -> bytes | None:
    """The register as a file of that type; None if there is no such type."""
    house = register_rows_of(venue, today).house
    columns = export_columns(house)
    return _as_file(file_type, {SHEET: register_rows(house, columns)})


def template_file(file_type: str) -> bytes | None:
    """The empty register file; as a workbook with the sheets that explain it."""
    return _as_file(
        file_type, {SHEET: template_rows()} if file_type == "csv" else template_sheets()
    )


def _as_file(file_type: str, sheets: dict[str, Iterator[list[str]]]) -> bytes | None:
    if file_type == "csv":
        return write_csv(sheets[SHEET])
    return write_xlsx(dict(sheets)) if file_type == "xlsx" else None
