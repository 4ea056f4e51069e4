"""The forms of a part: new or changed, what takes its place, and where it goes."""

from __future__ import annotations

from typing import Any

from venue.actions.parts import LEFT, WHY
from venue.forms_entry import Cells, Entry, EntryForm, Group, entries_of_kind
from venue.kind_shapes import PartKind
from venue.language_now import said
from venue.models import Equipment, Part, Venue
from venue.part_fields import of_one_thing
from venue.register.columns import field_column

CODE = Entry(
    "part code", "Position", "Its position in the equipment: line 3, drum end.", needed=True
)
REASON = Entry(WHY, "Why it comes out", needed=True, long=True)


def part_form(
    data: Any, *, venue: Venue, kind: PartKind | None, cells: Cells, new: bool
) -> EntryForm:
    groups = [
        Group("Which one it is", [*([CODE] if new else []), *_every_one()]),
        Group("What its kind asks", entries_of_kind(kind, venue, cells) if kind else []),
    ]
    return EntryForm(data, groups=groups, cells=cells)


def replace_form(data: Any, *, part: Part, kind: PartKind | None, cells: Cells) -> EntryForm:
    """Filled with what the old part and its successor have alike; what belongs to the one thing
    is left open."""
    venue = part.equipment.venue
    own = {"identifier", "installed on", "part code", "kind", "tag", "row"}
    own |= {field_column(one.name) for one in (kind.fields if kind else ()) if of_one_thing(one)}
    alike = {column: text for column, text in cells.items() if column not in own}
    out = Entry(LEFT, "Taken out on", "Left empty: today.", date=True)
    groups = [
        Group("What comes out", [REASON, out]),
        Group("What takes its place", _every_one("Left empty: the day the old one came out.")),
        Group("What its kind asks", entries_of_kind(kind, venue, alike) if kind else []),
    ]
    return EntryForm(data, groups=groups, cells=alike)


def move_form(data: Any, *, part: Part) -> EntryForm:
    pieces = Equipment.objects.in_venue(part.equipment.venue).exclude(standing="gone")
    tags = [(piece.tag, str(piece)) for piece in pieces.order_by("walking_order", "tag")]
    entries = [
        Entry("tag", "To which equipment", needed=True, choices=[("", said("Choose one")), *tags]),
        CODE,
        Entry("installed on", "Moved on", "Left empty: today.", date=True),
        Entry(WHY, "Why it is moved", needed=True, long=True),
    ]
    return EntryForm(data, groups=[Group("Where it goes", entries)], cells={"part code": part.code})


def _every_one(installed: str = "") -> list[Entry]:
    return [
        Entry("name", "Name", "Left empty, it takes its kind's."),
        Entry("identifier", "Identifier", "What is written on the part itself."),
        Entry("installed on", "Installed on", installed, date=True),
        Entry("walking order", "Walking order", "A whole number; checks go from low to high.",
              numeric=True),
    ]  # fmt: skip
