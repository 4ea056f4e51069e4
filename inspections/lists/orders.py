"""Orders as a long table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from django.urls import reverse
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Order
from venue.language_now import said
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.table_shapes import Cell, Column, Filter


def order_table(venue: Venue, day: date) -> TableKind[Order]:
    words = {"in force": _("In force"), "to come": _("To come"), "lifted": _("Lifted")}

    def standing(row: Order) -> str:
        return _standing(row, day)

    def edge(row: Order) -> str:
        return _edge(row, day)

    columns: list[Column[Order]] = [
        Column("from", _("From"), lambda row: day_words(row.bites_on), lambda row: row.bites_on, "date"),
        Column("equipment", _("Equipment"), lambda row: _piece(row, venue), _equipment, "head",
               total=_number_of),
        Column("what", _("Order"), lambda row: Cell(_what(row), state=_state(row, day)), _what),
        Column("why", _("Why"), lambda row: _why(row, venue)),
        Column("standing", _("State"), lambda row: words[standing(row)], standing, "date",
               total=lambda rows: counted(sorted(standing(row) for row in rows))),
        Column("by", _("By"), _by, _by),
        Column("lifted", _("Lifted"), _lifted, _lifted_at, "date", at_first=False),
    ]  # fmt: skip
    filters: list[Filter[Order]] = [
        Filter("words", _("Words"), _words, search=True),
        Filter("what", _("Order"), lambda row: row.what, _what),
        Filter("standing", _("State"), standing, lambda row: words[standing(row)]),
    ]  # fmt: skip
    return TableKind("orders", _("Orders"), columns, filters, edge, also=("show",))


def _words(row: Order) -> str:
    """Found by what is kept and by what is shown."""
    return f"{row.equipment} {row.why} {said(row.why)} {row.restriction} {_by(row)}"


def _standing(row: Order, day: date) -> str:
    if _lifted_at(row):
        return "lifted"
    return "in force" if row.bites_on <= day else "to come"


def _state(row: Order, day: date) -> str:
    """What is ordered for a later day is planned; until then it keeps nobody from anything."""
    standing = _standing(row, day)
    if standing != "in force":
        return "done" if standing == "lifted" else "planned"
    return "restrict" if row.what == Order.What.RESTRICTED else "out of service"


def _edge(row: Order, day: date) -> str:
    return _state(row, day) if _standing(row, day) == "in force" else ""


def _equipment(row: Order) -> str:
    return str(row.equipment)


def _piece(row: Order, venue: Venue) -> Cell:
    return Cell(_equipment(row), reverse("equipment", args=[venue.slug, row.equipment_id]))


def _what(row: Order) -> str:
    return said(row.get_what_display())


def _why(row: Order, venue: Venue) -> Cell:
    return Cell(said(row.why), reverse("finding", args=[venue.slug, row.finding_id]))


def _by(row: Order) -> str:
    return row.by.name


def _lifted_at(row: Order) -> datetime | None:
    return row.returned.at if hasattr(row, "returned") else None


def _lifted(row: Order) -> str:
    at = _lifted_at(row)
    return day_words(localtime(at)) if at else _("Not lifted")


def _number_of(rows: Sequence[Order]) -> str:
    return ngettext("%(number)s order", "%(number)s orders", len(rows)) % {"number": len(rows)}
