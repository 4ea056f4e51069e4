"""Add a part, change one, and end its life in its position: retired, replaced, or moved elsewhere.

A row of a part is the thing in one position. When it leaves, the row keeps where it was and when;
whatever was seen of it there stays with that row, and `successor` leads on."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from venue.actions.log import write_line
from venue.actions.register_entry import (
    refuse_faults,
    refuse_stale,
    rows_in_turn,
    told,
    wait_for_turn,
    write_entry,
)
from venue.actions.register_rows import write_changes
from venue.kind_files import part_kinds
from venue.models import Equipment, Part, Person
from venue.part_fields import carried_on
from venue.register.columns import PART
from venue.register.comparison import Comparison
from venue.register.grid import Fault, SheetRow
from venue.register.held import PartKey
from venue.register.on_screen import ROW, Cells, read_typed, row_of, same_thing
from venue.register.row_reading import one_line, read_day
from venue.register.written import part_cells

# Beside the columns of a register file, what a screen asks about a part that leaves.
WHY, LEFT = "why", "taken out on"
GONE = "This part was taken from here already."
SAME_IDENTIFIER = (
    "that is what is written on the part that comes out. Another part has its own; leave it empty "
    "where none is known."
)


class PartRefused(ValueError):
    """Says why the part cannot be retired, replaced or moved so."""


def add_part(*, equipment: Equipment, typed: Cells, by: Person, at: datetime) -> Part:
    """Raises EntryRefused. The same form sent twice gives the part it made the first time."""
    key = (equipment.tag, one_line(typed.get("part code", "")))
    with transaction.atomic():
        rows = rows_in_turn(equipment.venue, at, [equipment.tag])
        there = rows.house.parts.pop(key, None)
        comparison = read_typed(_row(equipment, typed, {}), rows.house)
        if there and not comparison.faults and same_thing(there, comparison):
            return rows.parts[key]
        refuse_faults(comparison, *([_in_use(key)] if there else []))
        write_entry(venue=equipment.venue, comparison=comparison, rows=rows, by=by, at=at)
    return rows.parts[key]


def change_part(*, part: Part, typed: Cells, shown: Cells, by: Person, at: datetime) -> None:
    """Raises EntryRefused, PartRefused, and ChangedMeanwhile when someone else has changed the
    part since it was shown."""
    equipment = part.equipment
    with transaction.atomic():
        rows = rows_in_turn(equipment.venue, at, [equipment.tag])
        held = rows.house.parts.get((equipment.tag, part.code))
        if held is None or rows.parts[equipment.tag, part.code].pk != part.pk:
            raise PartRefused("This part was taken from here meanwhile. Nothing was changed.")
        now = part_cells(held)
        fixed = {"part code": part.code, "kind": part.kind}
        comparison = read_typed(_row(equipment, dict(typed) | fixed, now), rows.house)
        refuse_faults(comparison)
        refuse_stale(comparison, shown, now)
        write_entry(venue=equipment.venue, comparison=comparison, rows=rows, by=by, at=at)


def replace_part(
    *, part: Part, typed: Cells, why: str, taken_out_on: str, by: Person, at: datetime
) -> Part:
    """Retire the part with its reason, and put its successor in its position. Raises EntryRefused;
    PartRefused when it was taken from here already."""
    equipment = part.equipment
    key = (equipment.tag, part.code)
    with transaction.atomic():
        rows = rows_in_turn(equipment.venue, at, [equipment.tag])
        if key not in rows.parts or rows.parts[key].pk != part.pk:
            raise PartRefused(GONE)
        part, _ = rows.parts.pop(key), rows.house.parts.pop(key)
        day, faults = _left(part, taken_out_on, why, rows.house.today, LEFT)
        came = typed.get("installed on", "").strip() or day.isoformat()
        fixed = {"part code": part.code, "kind": part.kind, "installed on": came}
        comparison = read_typed(_row(equipment, dict(typed) | fixed, {}), rows.house)
        refuse_faults(comparison, *faults, *_not_its_own(part, typed))
        _end(part, day, why.strip(), at)
        write_changes(equipment.venue, comparison, rows)
        _lead_on("replace_part", part, rows.parts[key], comparison, by, at)
    return rows.parts[key]


def move_part(
    *, part: Part, to: Equipment, code: str, moved_on: str, why: str, by: Person, at: datetime
) -> Part:
    """The same thing in another position. Its row here keeps where it was; a new one, with the same
    figures, says where it is. Raises EntryRefused; PartRefused when it was taken from here already."""
    source, key = part.equipment, (to.tag, one_line(code))
    with transaction.atomic():
        rows = rows_in_turn(source.venue, at, [source.tag, to.tag])
        held = rows.house.parts.pop((source.tag, part.code), None)
        if held is None or rows.parts[source.tag, part.code].pk != part.pk:
            raise PartRefused(GONE)
        part = rows.parts.pop((source.tag, part.code))
        came = moved_on.strip() or rows.house.today.isoformat()
        cells = part_cells(held) | {"part code": code, "installed on": came}
        there = rows.house.parts.pop(key, None)
        comparison = read_typed(_row(to, cells, {}), rows.house)
        day, faults = _left(part, moved_on, why, rows.house.today, "installed on")
        if (source.tag, part.code) == key:
            faults.append(Fault(ROW, "part code", "that is where it is now."))
        refuse_faults(comparison, *faults, *([_in_use(key)] if there else []))
        _end(part, day, f"Moved to {to.tag}, {key[1]}: {why.strip()}", at)
        write_changes(source.venue, comparison, rows)
        # The figures themselves, not their text read anew.
        Part.objects.filter(pk=rows.parts[key].pk).update(fields=part.fields)
        _lead_on("move_part", part, rows.parts[key], comparison, by, at)
    return rows.parts[key]


def retire_part(
    *,
    part: Part,
    why: str,
    successor_identifier: str,
    installed_on: date | None,
    by: Person,
    at: datetime,
) -> Part | None:
    """End the part's life. With a successor's identifier a new part takes its position.

    The successor has the same figures except those that belong to the single thing: its certificate
    and its baseline diameter are not known until someone measures and enters them.
    """
    venue = part.equipment.venue
    today = at.astimezone(venue.zone).date()
    with transaction.atomic():
        wait_for_turn(venue)
        if installed_on:
            _refuse_day(part, installed_on, today)
        if not Part.objects.filter(pk=part.pk, retired_on__isnull=True).update(
            retired_on=today, retired_why=why, retired_at=at
        ):
            raise PartRefused("This part was retired already.")
        successor = (
            _successor(part, successor_identifier, installed_on or today)
            if successor_identifier
            else None
        )
        if successor:
            Part.objects.filter(pk=part.pk).update(successor=successor)
        after = {"why": why, "successor": successor_identifier or None}
        write_line(venue=venue, by=by, at=at, did="retire_part", subject=part, after=after)
    return successor


def _successor(part: Part, identifier: str, installed_on: date) -> Part:
    if identifier.casefold() == part.identifier.casefold():
        raise PartRefused(SAME_IDENTIFIER)
    fields = carried_on(part_kinds().get(part.kind), part.fields)
    return Part.objects.create(
        equipment=part.equipment, code=part.code, kind=part.kind, kind_hash=part.kind_hash, name=part.name,
        identifier=identifier, installed_on=installed_on, walking_order=part.walking_order, fields=fields,
    )  # fmt: skip


def _refuse_day(part: Part, day: date, today: date) -> None:
    words, _ = read_day(day.isoformat(), today)
    words = words or _before_it_came(part, day)
    if words:
        raise PartRefused(f"Installed on: {words}")


def _row(equipment: Equipment, typed: Cells, shown: Cells) -> SheetRow:
    return row_of(dict(typed) | {"row": PART, "tag": equipment.tag}, shown)


def _in_use(key: PartKey) -> Fault:
    return Fault(ROW, "part code", f"{key[1]} of {key[0]} is in use. Name another position.")


def _left(part: Part, typed: str, why: str, today: date, column: str) -> tuple[date, list[Fault]]:
    """The day the part left its position, and what is wrong with it or with its reason."""
    faults = []
    words, day = read_day(typed.strip(), today) if typed.strip() else ("", today)
    words = words or (_before_it_came(part, day) if day else "")
    # The reader of the row has its own words for the day of a part that comes.
    if words and (column == LEFT or day):
        faults.append(Fault(ROW, column, words))
    if not why.strip():
        faults.append(Fault(ROW, WHY, "is empty; say why, for whoever asks years later."))
    return day or today, faults


def _before_it_came(part: Part, day: date) -> str:
    came = part.installed_on
    return f"{day} is before the part came here, on {came}." if came and day < came else ""


def _not_its_own(part: Part, typed: Cells) -> list[Fault]:
    new = one_line(typed.get("identifier", ""))
    same = bool(new) and new.casefold() == part.identifier.casefold()
    return [Fault(ROW, "identifier", SAME_IDENTIFIER)] if same else []


def _end(part: Part, day: date, why: str, at: datetime) -> None:
    in_use = Part.objects.filter(pk=part.pk, retired_on__isnull=True)
    if not in_use.update(retired_on=day, retired_why=why, retired_at=at):
        raise PartRefused(GONE)


def _lead_on(
    did: str, part: Part, successor: Part, comparison: Comparison, by: Person, at: datetime
) -> None:
    Part.objects.filter(pk=part.pk).update(successor=successor)
    part.refresh_from_db(fields=["retired_on", "retired_why"])
    [change] = comparison.created(PART)
    after = {"why": part.retired_why, "until": part.retired_on, "successor": told(change)[1]}
    before = {"tag": part.equipment.tag, "part code": part.code, "identifier": part.identifier}
    write_line(
        venue=part.equipment.venue, by=by, at=at, did=did, subject=part, before=before, after=after,
    )  # fmt: skip
