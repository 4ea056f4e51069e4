"""The form of a piece of equipment: what every one has, its rated loads, what its kind asks."""

from __future__ import annotations

from typing import Any

from venue.forms_entry import Cells, Entry, EntryForm, Group, entries_of_kind, unit_words
from venue.kind_shapes import Kind, LoadPurpose
from venue.language_now import said, said_choices
from venue.models import Equipment, Venue
from venue.queries.places import place_tree
from venue.register.columns import rated_column, source_column

NEW = {"standing": Equipment.Standing.INSTALLED.value}
TAG = Entry(
    "tag", "Tag", needed=True,
    help="What is written on the thing and on its label. It names this one thing for good.",
)  # fmt: skip


def equipment_form(
    data: Any, *, venue: Venue, kind: Kind | None, cells: Cells, new: bool
) -> EntryForm:
    """`cells` are those of the register. A kind whose file is gone asks for nothing of its own."""
    loads = [entry for load in kind.rated_loads for entry in _load(load, venue)] if kind else []
    groups = [
        Group("What it is", [*([TAG] if new else []), *_every_one(venue, cells)]),
        Group("Rated loads", loads, pairs=True),
        Group("What its kind asks", entries_of_kind(kind, venue, cells) if kind else []),
    ]
    return EntryForm(data, groups=groups, cells=cells)


def _every_one(venue: Venue, cells: Cells) -> list[Entry]:
    places = [(branch.path, branch.path) for branch in place_tree(venue)]
    if (held := cells.get("place", "")) and held not in dict(places):
        places.append((held, held))
    return [
        Entry("name", "Name", "What people call it.", needed=True),
        Entry("place", "Place", needed=True, choices=[("", said("Choose a place")), *places]),
        Entry("standing", "Standing", choices=said_choices(Equipment.Standing.choices)),
        Entry("walking order", "Walking order", "A whole number; rounds go from low to high.",
              numeric=True),
        Entry("serial", "Serial number", "As the maker wrote it."),
        Entry("made on", "Made on", "As known: 1997, or unknown."),
        Entry("note", "Note", "Whatever else is known, in one line."),
    ]  # fmt: skip


def _load(load: LoadPurpose, venue: Venue) -> list[Entry]:
    words = " ".join(said(part) for part in (load.help, unit_words(load, venue)) if part)
    return [
        Entry(rated_column(load.purpose), f"Rated load: {load.label.lower()}", words),
        Entry(source_column(load.purpose), f"Basis of the rated load: {load.label.lower()}",
              "Where the figure stands: name plate, manual, calculation, with its date."),
    ]  # fmt: skip
