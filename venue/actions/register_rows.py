"""Write what a comparison found, in a number of statements that does not grow with the rows."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Any, cast

from django.utils.text import slugify

from venue.kind_files import kinds, part_kinds
from venue.models import Equipment, Part, Place, RatedLoad, Venue
from venue.queries.register import RegisterRows
from venue.register.columns import EQUIPMENT, FIELD, PART, PLACE
from venue.register.comparison import Change, Comparison
from venue.register.held import EquipmentHeld, PartHeld, PlaceHeld

BATCH = 200
SLUG_LENGTH = 50
PLACE_FIELDS = ("level", "side", "walking_order", "hazards", "access")
EQUIPMENT_FIELDS = (
    "place", "name", "standing", "walking_order", "serial", "made_on", "note", "fields", "kind_hash",
)  # fmt: skip
PART_FIELDS = (
    "name", "identifier", "installed_on", "walking_order", "note", "fields", "kind_hash",
)  # fmt: skip


def write_changes(venue: Venue, comparison: Comparison, rows: RegisterRows) -> None:
    """Create and change rows; `rows` then also knows the new ones. Nothing is deleted."""
    _create_places(venue, comparison.created(PLACE), rows)
    _change_places(comparison.changed(PLACE), rows)
    _create_equipment(venue, comparison.created(EQUIPMENT), rows)
    _change_equipment(comparison.changed(EQUIPMENT), rows)
    _write_rated_loads(comparison, rows)
    _create_parts(comparison.created(PART), rows)
    _change_parts(comparison.changed(PART), rows)


def _create_places(venue: Venue, changes: list[Change], rows: RegisterRows) -> None:
    taken = (
        set(Place.objects.filter(venue=venue).values_list("slug", flat=True)) if changes else set()
    )
    new = sorted((_place(change) for change in changes), key=lambda place: len(place.path))
    for _, level in groupby(new, key=lambda place: len(place.path)):
        same_depth = list(level)
        made = [
            Place(
                venue=venue,
                parent=rows.places.get(held.path[:-1]),
                slug=_free_slug(held.path[-1], taken),
                name=held.path[-1],
                **_place_values(held),
            )
            for held in same_depth
        ]
        Place.objects.bulk_create(made, batch_size=BATCH)
        rows.places.update(zip((held.path for held in same_depth), made, strict=True))


def _free_slug(name: str, taken: set[str]) -> str:
    stem = slugify(name)[: SLUG_LENGTH - 6] or "place"
    slug, number = stem, 1
    while slug in taken:
        number += 1
        slug = f"{stem}-{number}"
    taken.add(slug)
    return slug


def _change_places(changes: list[Change], rows: RegisterRows) -> None:
    changed = [
        _set(rows.places[_place(change).path], _place_values(_place(change))) for change in changes
    ]
    _update(Place, changed, PLACE_FIELDS)


def _place_values(held: PlaceHeld) -> dict[str, Any]:
    return {
        "level": held.level,
        "side": held.side,
        "walking_order": held.walking_order,
        "hazards": list(held.hazards),
        "access": list(held.access),
    }


def _create_equipment(venue: Venue, changes: list[Change], rows: RegisterRows) -> None:
    made = []
    for change in changes:
        held = _equipment(change)
        made.append(
            Equipment(
                venue=venue,
                tag=held.tag,
                kind=held.kind,
                kind_hash=kinds()[held.kind].hash,
                **_equipment_values(held, rows),
            )
        )
    Equipment.objects.bulk_create(made, batch_size=BATCH)
    rows.equipment.update((equipment.tag, equipment) for equipment in made)


def _change_equipment(changes: list[Change], rows: RegisterRows) -> None:
    changed = []
    for change in changes:
        held = _equipment(change)
        equipment = _set(rows.equipment[held.tag], _equipment_values(held, rows))
        if _fields_differ(change):
            equipment.kind_hash = kinds()[held.kind].hash
        changed.append(equipment)
    _update(Equipment, changed, EQUIPMENT_FIELDS)


def _equipment_values(held: EquipmentHeld, rows: RegisterRows) -> dict[str, Any]:
    return {
        "place": rows.places[held.place],
        "name": held.name,
        "standing": held.standing,
        "walking_order": held.walking_order,
        "serial": held.serial,
        "made_on": held.made_on,
        "note": held.note or None,
        "fields": held.fields,
    }


def _write_rated_loads(comparison: Comparison, rows: RegisterRows) -> None:
    made, changed = [], []
    for change in comparison.created(EQUIPMENT) + comparison.changed(EQUIPMENT):
        held = _equipment(change)
        for purpose, load in held.rated.items():
            row = rows.rated.get((held.tag, purpose))
            values = {"quantity": load.quantity, "source": load.source}
            if row is None:
                made.append(
                    RatedLoad(equipment=rows.equipment[held.tag], purpose=purpose, **values)
                )
            elif (row.quantity, row.source) != (load.quantity, load.source):
                changed.append(_set(row, values))
    RatedLoad.objects.bulk_create(made, batch_size=BATCH)
    _update(RatedLoad, changed, ("quantity", "source"))


def _create_parts(changes: list[Change], rows: RegisterRows) -> None:
    made = []
    for change in changes:
        held = _part(change)
        made.append(
            Part(
                equipment=rows.equipment[held.tag],
                code=held.code,
                kind=held.kind,
                kind_hash=part_kinds()[held.kind].hash,
                **_part_values(held),
            )
        )
    Part.objects.bulk_create(made, batch_size=BATCH)
    rows.parts.update(((part.equipment.tag, part.code), part) for part in made)


def _change_parts(changes: list[Change], rows: RegisterRows) -> None:
    changed = []
    for change in changes:
        held = _part(change)
        part = _set(rows.parts[held.tag, held.code], _part_values(held))
        if _fields_differ(change):
            part.kind_hash = part_kinds()[held.kind].hash
        changed.append(part)
    _update(Part, changed, PART_FIELDS)


def _part_values(held: PartHeld) -> dict[str, Any]:
    return {
        "name": held.name,
        "identifier": held.identifier,
        "installed_on": held.installed_on,
        "walking_order": held.walking_order,
        "note": held.note or None,
        "fields": held.fields,
    }


def _set(row: Any, values: dict[str, Any]) -> Any:
    for name, value in values.items():
        setattr(row, name, value)
    return row


def _update(model: Any, rows: list[Any], fields: Iterable[str]) -> None:
    model.objects.bulk_update(rows, fields, batch_size=BATCH)


def _fields_differ(change: Change) -> bool:
    return any(one.column.startswith(FIELD) for one in change.differences)


# A change of one sort always holds that sort; these say so to readers and to the type checker.
def _place(change: Change) -> PlaceHeld:
    return cast(PlaceHeld, change.after)


def _equipment(change: Change) -> EquipmentHeld:
    return cast(EquipmentHeld, change.after)


def _part(change: Change) -> PartHeld:
    return cast(PartHeld, change.after)
