"""One place, piece of equipment or part typed on screen: the comparison, the words and the writing
of a register file, for one row."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import models

from venue.actions.log import write_line
from venue.actions.register_rows import write_changes
from venue.models import Person, Venue
from venue.queries.register import RegisterRows, register_rows_of
from venue.register.comparison import Change, Comparison
from venue.register.grid import Fault
from venue.register.held import EquipmentHeld, PartHeld, PlaceHeld
from venue.register.on_screen import Cells, changed_meanwhile


class EntryRefused(ValueError):
    """What was typed has faults, each with its column; nothing was changed."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = list(faults)
        super().__init__(" ".join(str(fault) for fault in self.faults))


class ChangedMeanwhile(ValueError):
    """Someone else changed the thing while it was being edited; nothing was changed."""

    def __init__(self, shown: Cells, now: Cells) -> None:
        super().__init__("It was changed while you were typing. Nothing of yours was saved yet.")
        self.shown, self.now = dict(shown), dict(now)


def wait_for_turn(venue: Venue) -> None:
    """Wait for whoever changes the register now. The lock is the one an import takes; it leaves
    room for records, which only point to the venue. What was read before it counts for nothing."""
    Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)


def rows_in_turn(venue: Venue, at: datetime, tags: Iterable[str]) -> RegisterRows:
    """The rows about these tags, as they are when it is this caller's turn."""
    wait_for_turn(venue)
    return register_rows_of(venue, at.astimezone(venue.zone).date(), set(tags))


def refuse_stale(comparison: Comparison, shown: Cells, now: Cells) -> None:
    """Someone's change is never overwritten unseen. A form sent twice changes nothing, and is let
    through."""
    if comparison.changes and changed_meanwhile(shown, now):
        raise ChangedMeanwhile(shown, now)


def refuse_faults(comparison: Comparison, *more: Fault) -> None:
    if faults := [*more, *comparison.faults]:
        raise EntryRefused(faults)


def write_entry(
    *, venue: Venue, comparison: Comparison, rows: RegisterRows, by: Person, at: datetime
) -> None:
    """Write the changes, each with its log line, inside the caller's transaction."""
    write_changes(venue, comparison, rows)
    for change in comparison.changes:
        did = f"{'add' if change.is_new else 'change'}_{change.what}"
        before, after = told(change)
        write_line(
            venue=venue, by=by, at=at, did=did, subject=subject_of(change, rows),
            before=before, after=after,
        )  # fmt: skip


def told(change: Change) -> tuple[dict[str, Any] | None, dict[str, Any]]:
    """Before and after, cell by cell, as the log keeps them."""
    before = {one.column: one.before for one in change.differences}
    after = {one.column: one.after for one in change.differences}
    return (None if change.is_new else before), after


def subject_of(change: Change, rows: RegisterRows) -> models.Model:
    held = change.after
    if isinstance(held, PlaceHeld):
        return rows.places[held.path]
    if isinstance(held, EquipmentHeld):
        return rows.equipment[held.tag]
    assert isinstance(held, PartHeld)
    return rows.parts[held.tag, held.code]
