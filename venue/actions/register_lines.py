"""What the log says of an import: one line for the file, one for each piece of equipment."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

from venue.actions.log import Deed
from venue.models import Venue
from venue.queries.register import RegisterRows
from venue.register.columns import EQUIPMENT, PART, PLACE
from venue.register.comparison import Change, Comparison
from venue.register.held import EquipmentHeld, PartHeld

Told = dict[str, str | dict[str, str]]


def deeds_of(
    venue: Venue, comparison: Comparison, rows: RegisterRows, file_name: str, content: bytes
) -> Iterator[Deed]:
    yield Deed("import_register", venue, after=_summary(comparison, file_name, content))
    for tag, changes in _by_tag(comparison).items():
        new = any(change.what == EQUIPMENT and change.is_new for change in changes)
        before, after = _told(changes, old=True), _told(changes, old=False)
        did = "create_equipment_by_import" if new else "change_equipment_by_import"
        yield Deed(did, rows.equipment[tag], before=None if new else before, after=after)


def _summary(comparison: Comparison, file_name: str, content: bytes) -> dict[str, object]:
    counts = {
        f"{what} {'created' if new else 'changed'}": len(found)
        for what in (PLACE, EQUIPMENT, PART)
        for new, found in ((True, comparison.created(what)), (False, comparison.changed(what)))
    }
    places = [
        {
            "place": change.label,
            **{one.column: [one.before, one.after] for one in change.differences},
        }
        for change in comparison.changes
        if change.what == PLACE
    ]
    sha256 = hashlib.sha256(content).hexdigest()
    return {"file": file_name, "sha256": sha256, **counts, "places": places}


def _by_tag(comparison: Comparison) -> dict[str, list[Change]]:
    by_tag: dict[str, list[Change]] = {}
    for change in comparison.changes:
        if isinstance(change.after, EquipmentHeld | PartHeld):
            by_tag.setdefault(change.after.tag, []).append(change)
    return by_tag


def _told(changes: list[Change], *, old: bool) -> Told:
    told: Told = {}
    for change in changes:
        cells = {one.column: one.before if old else one.after for one in change.differences}
        if isinstance(change.after, PartHeld):
            told[f"part {change.after.code}"] = cells
        else:
            told.update(cells)
    return told
