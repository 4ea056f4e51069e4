"""Add a piece of equipment on screen; change one. Read by the reader of register files."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from venue.actions.register_entry import (
    refuse_faults,
    refuse_stale,
    rows_in_turn,
    wait_for_turn,
    write_entry,
)
from venue.models import Equipment, Person, Venue
from venue.queries.register import tags_like
from venue.register.columns import EQUIPMENT, PLACE
from venue.register.comparison import Comparison
from venue.register.grid import Fault
from venue.register.on_screen import ROW, Cells, read_typed, row_of, same_thing
from venue.register.row_reading import one_line
from venue.register.written import equipment_cells


def add_equipment(*, venue: Venue, typed: Cells, by: Person, at: datetime) -> Equipment:
    """Raises EntryRefused. The same form sent twice gives the equipment it made the first time."""
    tag = one_line(typed.get("tag", ""))
    with transaction.atomic():
        wait_for_turn(venue)
        rows = rows_in_turn(venue, at, tags_like(venue, tag))
        there = rows.house.equipment.pop(tag, None)
        comparison = read_typed(row_of({"row": EQUIPMENT} | dict(typed), {}), rows.house)
        if there and not comparison.faults and same_thing(there, comparison):
            return rows.equipment[tag]
        if there:
            words = f"{tag} is in the house already: {there.name}. A tag names one thing."
            refuse_faults(comparison, Fault(ROW, "tag", words))
        refuse_faults(comparison, *_unknown_place(comparison))
        write_entry(venue=venue, comparison=comparison, rows=rows, by=by, at=at)
    return rows.equipment[tag]


def change_equipment(
    *, equipment: Equipment, typed: Cells, shown: Cells, by: Person, at: datetime
) -> None:
    """`shown` is what the form showed before it was typed in. Raises EntryRefused, and
    ChangedMeanwhile when someone else has changed the equipment since then."""
    venue = equipment.venue
    with transaction.atomic():
        rows = rows_in_turn(venue, at, [equipment.tag])
        now = equipment_cells(rows.house.equipment[equipment.tag])
        fixed = {"row": EQUIPMENT, "tag": equipment.tag}
        comparison = read_typed(row_of(dict(typed) | fixed, now), rows.house)
        refuse_faults(comparison, *_unknown_place(comparison))
        refuse_stale(comparison, shown, now)
        write_entry(venue=venue, comparison=comparison, rows=rows, by=by, at=at)


def _unknown_place(comparison: Comparison) -> list[Fault]:
    """A file makes the places it names. On screen a place is chosen, and has a page of its own."""
    if not comparison.created(PLACE):
        return []
    return [Fault(ROW, "place", "is none of the places of the house. Add the place first.")]
