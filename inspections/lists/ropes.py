"""The ropes in use as a long table."""

from __future__ import annotations

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.queries.rope_list import RopeRow
from venue.language_now import said
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.table_shapes import Cell, Column, Filter

EDGED = ("retire", "out of service", "restrict")


def rope_table(venue: Venue) -> TableKind[RopeRow]:
    columns = [
        Column("tag", _("Tag"), lambda row: row.rope.equipment.tag, lambda row: row.rope.equipment.tag),
        Column("rope", _("Rope"), lambda row: _rope(row, venue), lambda row: str(row.rope), "head",
               total=lambda rows: ngettext("%(number)s rope", "%(number)s ropes", len(rows)) % {"number": len(rows)}),
        Column("equipment", _("Equipment"), lambda row: row.rope.equipment.name, lambda row: row.rope.equipment.name),
        Column("place", _("Place"), _place, _place, at_first=False),
        Column("identifier", _("Identifier"), lambda row: row.rope.identifier or _("Not known"),
               lambda row: row.rope.identifier, at_first=False),
        Column("construction", _("Construction"), lambda row: row.construction, lambda row: row.construction),
        Column("diameter", _("Diameter"), lambda row: row.diameter, lambda row: row.exact_diameter, "figure"),
        Column("installed", _("Installed"), lambda row: day_words(row.rope.installed_on, _("Not known")),
               lambda row: row.rope.installed_on, "date"),
        Column("now", _("Equipment now"), lambda row: Cell(said(row.piece.words), state=row.piece.state),
               lambda row: row.piece.words),
        Column("last", _("Last looked at"), _last, lambda row: row.last_at, "date"),
        Column("verdict", _("Verdict then"), _verdict, lambda row: -row.badness,
               total=lambda rows: counted(row.state for row in sorted(rows, key=lambda row: -row.badness))),
    ]  # fmt: skip
    filters = [
        Filter("words", _("Words"), _words, search=True),
        Filter("place", _("Place"), _place),
        Filter("construction", _("Construction"), lambda row: row.construction),
        Filter("verdict", _("Verdict then"), lambda row: row.state, lambda row: capfirst(said(row.state))),
    ]  # fmt: skip
    return TableKind(
        "ropes", _("Ropes"), columns, filters, _edge
    )  # fmt: skip


def _edge(row: RopeRow) -> str:
    """The piece that nobody may use, or the rope that has to come down, whichever speaks first."""
    return next((state for state in (row.piece.state, row.state) if state in EDGED), "")


def _rope(row: RopeRow, venue: Venue) -> Cell:
    return Cell(str(row.rope), reverse("part", args=[venue.slug, row.rope.pk]))


def _place(row: RopeRow) -> str:
    return row.rope.equipment.place.name


def _last(row: RopeRow) -> str:
    return day_words(localtime(row.last_at)) if row.last_at else _("Never here")


def _verdict(row: RopeRow) -> Cell:
    words = capfirst(said(row.state)) if row.last_at else _("Not known")
    return Cell(words, state=row.state)


def _words(row: RopeRow) -> str:
    piece = row.rope.equipment
    return f"{piece.tag} {piece.name} {row.rope} {row.rope.identifier} {piece.place.name} {row.construction}"
