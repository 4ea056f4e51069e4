"""Find the kind a cell names, and check the cells that belong to a kind. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar

from venue.kind_files import Field, Kind, LoadPurpose, PartKind, kinds, part_kinds, read_fields
from venue.quantities import UnreadableQuantity, read_quantity
from venue.register.columns import (
    FIELD,
    RATED,
    all_columns,
    field_column,
    nearest,
    rated_column,
    source_column,
)
from venue.register.guard import EMPTIED, NOT_KNOWN
from venue.register.held import House, RatedLoadHeld
from venue.register.row_reading import RowReading, one_line
from venue.register.written import field_text, register_columns

LONGEST_SOURCE = 200
AnyKind = TypeVar("AnyKind", bound=PartKind)


@cache
def purposes() -> tuple[str, ...]:
    """Every purpose of a rated load, in the order of the kinds."""
    return tuple(
        dict.fromkeys(load.purpose for kind in kinds().values() for load in kind.rated_loads)
    )


@cache
def field_names() -> tuple[str, ...]:
    """Every field of equipment, then every field of parts."""
    both: list[PartKind] = [*kinds().values(), *part_kinds().values()]
    return tuple(dict.fromkeys(field.name for kind in both for field in kind.fields))


def known_columns() -> tuple[str, ...]:
    return all_columns(purposes(), field_names())


def export_columns(house: House) -> tuple[str, ...]:
    """The columns of an export: those of every kind in the house, and whatever else is held."""
    there = {one.kind for one in house.equipment.values()}
    of_kinds: list[PartKind] = [kind for slug, kind in kinds().items() if slug in there]
    parts_there = {part.kind for part in house.parts.values()}
    of_kinds += [kind for slug, kind in part_kinds().items() if slug in parts_there]
    loads = [
        rated_column(load.purpose)
        for slug in there & set(kinds())
        for load in kinds()[slug].rated_loads
    ]
    wanted = {
        *register_columns(house),
        *loads,
        *(source_column(one.removeprefix(RATED)) for one in loads),
    }
    wanted |= {field_column(field.name) for kind in of_kinds for field in kind.fields}
    known = known_columns()
    return (*(one for one in known if one in wanted), *sorted(wanted - set(known)))


def find_kind(text: str, among: Mapping[str, AnyKind]) -> AnyKind | None:
    """By short name, or by a label that only one kind has; capitals do not matter.

    >>> find_kind("Drum winch", kinds()).slug, find_kind("drum_winch", kinds()).slug
    ('drum_winch', 'drum_winch')
    """
    wanted = one_line(text).casefold()
    if wanted.replace(" ", "_") in among:
        return among[wanted.replace(" ", "_")]
    meant = [
        kind
        for kind in among.values()
        if wanted in {label.casefold() for label in kind.labels.values()}
    ]
    return meant[0] if len(meant) == 1 else None


def kind_of_row(
    reading: RowReading, among: Mapping[str, AnyKind], known: str, what: str
) -> AnyKind | None:
    """The kind of the row. What hangs on a kind hangs on it for good: it never changes here."""
    text = reading.changed.get("kind")
    if text is None and known:
        return among.get(known)
    if text in (None, EMPTIED):
        reading.fault("kind", "is empty; it is needed.")
        return None
    kind = find_kind(text or "", among)
    if kind is None:
        words = [*among, *(label for one in among.values() for label in one.labels.values())]
        reading.fault(
            "kind", f"“{text}” is not a known kind of {what}.{nearest(text or '', words)}"
        )
    elif known and kind.slug != known:
        reading.fault(
            "kind",
            f"this {what} is a {known} and does not become a {kind.slug}, because its plans "
            "and records belong to its kind.",
        )
    return kind


def fields_of_row(
    reading: RowReading, kind: PartKind | None, known: Mapping[str, Any], unit_habit: str
) -> dict[str, Any]:
    """The fields after the row; those the file says nothing new about stay as they are stored."""
    changed = {
        column.removeprefix(FIELD): text
        for column, text in reading.changed.items()
        if column.startswith(FIELD)
    }
    if kind is None or (known and not changed):
        return dict(known)
    texts = {name: field_text(stored) for name, stored in known.items() if kind.field(name)}
    missing = _said_missing(reading, kind, known, changed)
    texts |= {name: _usual(kind.field(name), text) for name, text in changed.items()}
    texts |= {name: "" for name in missing if changed.get(name, NOT_KNOWN).lower() == NOT_KNOWN}
    stored, faults = read_fields(kind, texts, unit_habit)
    for fault in (one for one in faults if one.name not in missing):
        near = (
            ""
            if kind.field(fault.name)
            else nearest(fault.name, [field.name for field in kind.fields])
        )
        reading.fault(field_column(fault.name), f"{fault.sentence}{near}")
    kept = {name: value for name, value in known.items() if name not in changed}
    return stored | kept


def _said_missing(
    reading: RowReading, kind: PartKind, known: Mapping[str, Any], changed: Mapping[str, str]
) -> set[str]:
    """What is said not to be known, in this row or when the thing came in. It stays missing, and
    whatever asks for it cannot be decided. What is known is not emptied so."""
    names = {field.name for field in kind.fields} - set(known)
    said = {name for name in names if changed.get(name, "").lower() == NOT_KNOWN}
    return said | (names - set(changed) if reading.before else set())


def _usual(field: Field | None, text: str) -> str:
    if text == EMPTIED:
        return ""
    if field and field.type in ("yes_no", "choice"):
        return one_line(text).lower().replace(" ", "_")
    return text if field is None or field.type == "text" else one_line(text)


def rated_of_row(
    reading: RowReading, kind: Kind | None, known: Mapping[str, RatedLoadHeld], unit_habit: str
) -> dict[str, RatedLoadHeld]:
    """The rated loads after the row. A rated load is corrected here, never removed."""
    rated = dict(known)
    loads = {load.purpose: load for load in kind.rated_loads} if kind else {}
    for column in [name for name in reading.changed if name.startswith(RATED)]:
        purpose = column.removeprefix(RATED)
        load = loads.get(purpose)
        if kind and load is None:
            words = f"a {kind.slug} has no rated load “{purpose}”.{nearest(purpose, loads)}"
            reading.fault(column, words)
        elif load:
            _read_load(reading, load, rated, unit_habit)
    for purpose in {*purposes(), *known}:
        _read_load_source(reading, purpose, rated)
    return rated


def _read_load(
    reading: RowReading, load: LoadPurpose, rated: dict[str, RatedLoadHeld], unit_habit: str
) -> None:
    column = rated_column(load.purpose)
    text = reading.changed[column]
    if text == EMPTIED:
        reading.fault(column, "a rated load is corrected, never removed.")
        return
    try:
        quantity = read_quantity(one_line(text), load.dimension, load.unit(unit_habit))
    except UnreadableQuantity as fault:
        reading.fault(column, f"{load.label}: {fault}")
        return
    if quantity.value == 0:
        reading.fault(
            column, f"{load.label}: a rated load of nothing is not one. Leave the cell empty."
        )
        return
    source = rated[load.purpose].source if load.purpose in rated else ""
    rated[load.purpose] = RatedLoadHeld(quantity.stored(), source)


def _read_load_source(reading: RowReading, purpose: str, rated: dict[str, RatedLoadHeld]) -> None:
    column = source_column(purpose)
    if column not in reading.changed:
        return
    source = reading.line(column, "", LONGEST_SOURCE)
    if purpose in rated:
        rated[purpose] = RatedLoadHeld(rated[purpose].quantity, source)
    elif source:
        reading.fault(column, f"names a source, but there is no rated load “{purpose}”.")
