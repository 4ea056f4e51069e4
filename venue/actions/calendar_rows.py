"""Write what a comparison of a calendar found; a booking is cancelled, never deleted."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from venue.actions.log import Deed
from venue.calendar.comparison import BACK, CANCELLED, CHANGED, MOVED, NEW, Change, Comparison
from venue.calendar.kinds import Wanted
from venue.models import Booking, CalendarSource

BATCH = 200
FIELDS = (
    "what", "title", "starts", "ends", "all_day", "leaves_accessible", "location", "categories",
    "original", "state",
)  # fmt: skip
DID = {
    NEW: "add_booking",
    MOVED: "move_booking",
    CHANGED: "change_booking",
    CANCELLED: "cancel_booking",
    BACK: "reinstate_booking",
}


def write_changes(source: CalendarSource, comparison: Comparison, at: datetime) -> list[Deed]:
    """The rows, and the lines that tell of them. The caller holds the venue's lock."""
    added = comparison.of(NEW)
    made = [
        Booking(venue=source.venue, source=source, uid=change.after.uid, piece=change.after.piece,
                **_values(change))
        for change in added
    ]  # fmt: skip
    Booking.with_cancelled.bulk_create(made, batch_size=BATCH)
    deeds = [Deed(DID[NEW], row, after=_told(_values(change)))
             for row, change in zip(made, added, strict=True)]  # fmt: skip
    return deeds + _changed(comparison)


def _changed(comparison: Comparison) -> list[Deed]:
    changes = [one for one in comparison.changes if one.before is not None]
    rows = Booking.with_cancelled.in_bulk([one.before.pk for one in changes if one.before])
    deeds = []
    for change in changes:
        assert change.before
        row, values = rows[change.before.pk], _values(change)
        before = {name: getattr(row, name) for name in FIELDS if getattr(row, name) != values[name]}
        after = {name: values[name] for name in before}
        for name in before:
            setattr(row, name, values[name])
        deeds.append(Deed(DID[change.kind], row, before=_told(before), after=_told(after)))
    Booking.with_cancelled.bulk_update(rows.values(), FIELDS, batch_size=BATCH)
    return deeds


def _values(change: Change) -> dict[str, Any]:
    booking: Wanted = change.after
    cancelled = change.kind == CANCELLED
    return {
        "what": booking.what, "title": booking.title, "starts": booking.starts,
        "ends": booking.ends, "all_day": booking.all_day,
        "leaves_accessible": list(booking.leaves), "location": booking.location,
        "categories": booking.categories, "original": booking.original,
        "state": Booking.State.CANCELLED if cancelled else Booking.State.STANDS,
    }  # fmt: skip


def _told(values: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value not in ("", False)}
