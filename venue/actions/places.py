"""Add a place on screen; change one: also its name, and where it stands."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from venue.actions.register_entry import (
    refuse_faults,
    refuse_stale,
    rows_in_turn,
    write_entry,
)
from venue.models import Person, Place, Venue
from venue.queries.places import place_entry
from venue.queries.register import RegisterRows, path_of_place
from venue.register.columns import PLACE
from venue.register.comparison import Comparison, differences_between
from venue.register.grid import Fault
from venue.register.held import PlaceHeld
from venue.register.on_screen import ROW, Cells, place_there, read_typed_place
from venue.register.written import path_text


def add_place(
    *, venue: Venue, parent: Place | None, typed: Cells, by: Person, at: datetime
) -> Place:
    """`place` of what was typed is the place's own name. Raises EntryRefused. The same form sent
    twice gives the place it made the first time."""
    with transaction.atomic():
        rows = rows_in_turn(venue, at, [])
        above = rows.house.places.get(path_of_place(parent, rows))
        blank = PlaceHeld((), above.level if above else 0)
        after, comparison = _read(blank, parent, typed, rows)
        there = place_there(after.path, rows.house)
        if there and not comparison.faults and not differences_between(there, after):
            return rows.places[there.path]
        refuse_faults(comparison, *_twice(there))
        comparison.note(PLACE, ROW, None, after)
        write_entry(venue=venue, comparison=comparison, rows=rows, by=by, at=at)
    return rows.places[after.path]


def change_place(
    *, place: Place, parent: Place | None, typed: Cells, shown: Cells, by: Person, at: datetime
) -> None:
    """Raises EntryRefused, and ChangedMeanwhile when someone else has changed it since `shown`."""
    venue = place.venue
    with transaction.atomic():
        rows = rows_in_turn(venue, at, [])
        place = Place.objects.get(pk=place.pk)
        known = held_place(place, rows)
        after, comparison = _read(known, parent, typed, rows)
        refuse_faults(comparison, *_twice(place_there(after.path, rows.house, but=known.path)))
        comparison.note(PLACE, ROW, known, after)
        refuse_stale(comparison, shown, place_entry(place))
        rows.places[after.path] = place
        write_entry(venue=venue, comparison=comparison, rows=rows, by=by, at=at)
        Place.objects.filter(pk=place.pk).update(name=after.path[-1], parent=parent)


def held_place(place: Place, rows: RegisterRows) -> PlaceHeld:
    return PlaceHeld(
        path_of_place(place, rows), place.level, place.walking_order, tuple(place.hazards),
        tuple(place.access), place.side,
    )  # fmt: skip


def _read(
    known: PlaceHeld, parent: Place | None, typed: Cells, rows: RegisterRows
) -> tuple[PlaceHeld, Comparison]:
    after, faults = read_typed_place(known, path_of_place(parent, rows), typed, rows.house)
    return after, Comparison(faults=faults)


def _twice(there: PlaceHeld | None) -> list[Fault]:
    if there is None:
        return []
    words = f"“{path_text(there.path)}” is there already. Give it another name, or open that one."
    return [Fault(ROW, "place", words)]
