"""The form of a place: its name, where it stands, its hazards and the access state it needs."""

from __future__ import annotations

from typing import Any

from venue.forms import ACCESS_CHOICES
from venue.forms_entry import Cells, Entry, EntryForm, Group
from venue.language_now import said_choices
from venue.place_sides import SIDES
from venue.queries.places import Branch

TOP = ("", "The top of the house")
NO_SIDE = ("", "Not said, or across the whole width")


def place_form(data: Any, *, tree: list[Branch], cells: Cells) -> EntryForm:
    """`place` of the cells is the place's own name, `parent` the number of what it stands in."""
    above = [*said_choices([TOP]), *((str(branch.place.pk), branch.path) for branch in tree)]
    known = dict(ACCESS_CHOICES)
    held = [one.strip() for one in cells.get("place access", "").split("|") if one.strip()]
    access = [*ACCESS_CHOICES, *((one, one) for one in held if one not in known)]
    entries = [
        Entry("place", "Name", needed=True),
        Entry("parent", "Stands in", choices=above),
        Entry("place level", "Height order", numeric=True,
              help="From the lowest machine pit (0) up to the grid, as a whole number; "
                   "the section of the house is drawn from it."),
        Entry("place side", "Side of the stage", choices=said_choices([NO_SIDE, *SIDES.items()]),
              help="As the performer who faces the house says it; the section puts it there."),
        Entry("walking order", "Walking order", "A whole number; rounds go from low to high.",
              numeric=True),
        Entry("place hazards", "Hazards", "One sentence a line.", lines=True),
        Entry("place access", "Access state it needs", choices=access, many=True,
              help="What must be so before work here."),
    ]  # fmt: skip
    return EntryForm(data, groups=[Group("", entries)], cells=cells)
