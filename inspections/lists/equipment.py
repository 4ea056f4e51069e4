"""The list of equipment as a long table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.queries.equipment import ORDER, EquipmentRow
from inspections.queries.house_section import in_words
from venue.language_now import said
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.queries.places import Branch, places_within
from venue.table_shapes import Cell, Column, Filter

# A row has the edge of its state where somebody must not use it, or must act.
EDGED = ("out of service", "restrict", "late")


def equipment_table(
    venue: Venue, tree: Sequence[Branch], *, alone: bool = False
) -> TableKind[EquipmentRow]:
    """`alone`: a place is asked for without the places inside it, as the drawing of the house does."""
    columns = [
        Column("tag", _("Tag"), _tag, _tag),
        Column("name", _("Name"), lambda row: _named(row, venue), _name, form="head", total=_pieces),
        Column("kind", _("Kind"), _kind, _kind),
        Column("place", _("Place"), _place, _walking_order),
        Column("state", _("State"), _state, _badness, total=_states),
        Column("last", _("Last looked at"), _last, _last_day, form="date"),
        Column("late", _("Late checks"), _late, lambda row: row.state.late, "figure", at_first=False,
               total=lambda rows: str(sum(row.state.late for row in rows))),
        Column("serial", _("Serial number"), lambda row: row.equipment.serial or _("Not known"),
               lambda row: row.equipment.serial, at_first=False),
        Column("made", _("Made"), lambda row: row.equipment.made_on or _("Not known"),
               lambda row: row.equipment.made_on, at_first=False),
    ]  # fmt: skip
    filters: list[Filter[EquipmentRow]] = [
        Filter("words", _("Words"), _words, search=True),
        Filter("kind", _("Kind"), lambda row: row.equipment.kind, _kind),
        _place_filter(tree, alone),
        Filter("state", _("State"), lambda row: row.shown, lambda row: capfirst(in_words(row.shown))),
    ]  # fmt: skip
    if alone:  # named only where it narrows, so that it can be taken back
        only = [("1", _("Not in the places inside it"))]
        filters.append(Filter("alone", _("Place"), lambda row: "1", choices=only))
    return TableKind("equipment", _("Equipment"), columns, filters, _edge)


def _place_filter(tree: Sequence[Branch], alone: bool) -> Filter[EquipmentRow]:
    """By the number of a place, with all that stands in it; places have names that others have too."""

    @cache
    def within(number: str) -> set[int]:
        return places_within(tree, number, alone)

    return Filter(
        "place", _("Place, with all in it"), _place,
        keeps=lambda row, number: row.equipment.place_id in within(number),
        choices=[(str(branch.place.pk), branch.path) for branch in tree],
    )  # fmt: skip


def _tag(row: EquipmentRow) -> str:
    return row.equipment.tag


def _name(row: EquipmentRow) -> str:
    return row.equipment.name


def _named(row: EquipmentRow, venue: Venue) -> Cell:
    return Cell(_name(row), reverse("equipment", args=[venue.slug, row.equipment.pk]))


def _kind(row: EquipmentRow) -> str:
    return said(row.kind_label)


def _place(row: EquipmentRow) -> str:
    return row.equipment.place.name


def _walking_order(row: EquipmentRow) -> tuple[int, int]:
    return row.equipment.place.walking_order, row.equipment.walking_order


def _state(row: EquipmentRow) -> Cell:
    return Cell(said(row.state.words), state=row.state.state)


def _badness(row: EquipmentRow) -> int:
    return ORDER.index(row.state.state) if row.state.state in ORDER else len(ORDER)


def _edge(row: EquipmentRow) -> str:
    return row.state.state if row.state.state in EDGED else ""


def _last_day(row: EquipmentRow) -> date | None:
    return row.state.last_record.done_on if row.state.last_record else None


def _last(row: EquipmentRow) -> str:
    return day_words(_last_day(row), _("Never here"))


def _late(row: EquipmentRow) -> str:
    return str(row.state.late or "")


def _words(row: EquipmentRow) -> str:
    piece = row.equipment
    return (
        f"{piece.tag} {piece.name} {row.kind_label} {_kind(row)} {piece.place.name} {piece.serial}"
    )


def _pieces(rows: Sequence[EquipmentRow]) -> str:
    return ngettext("%(number)s piece", "%(number)s pieces", len(rows)) % {"number": len(rows)}


def _states(rows: Sequence[EquipmentRow]) -> str:
    """Worst first."""
    shown = (in_words(row.shown) for row in sorted(rows, key=_badness))
    return counted(shown)
