"""Findings as a long table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.urls import reverse
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Finding
from venue.language_now import said, small_within
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.table_shapes import Cell, Column, Filter


def finding_table(venue: Venue) -> TableKind[Finding]:
    columns: list[Column[Finding]] = [
        Column("found", _("Found"), lambda row: day_words(localtime(row.at)), lambda row: row.at, "date"),
        Column("equipment", _("Equipment"), _equipment, _equipment),
        Column("what", _("What"), lambda row: _finding(row, venue), lambda row: row.what, "head",
               total=_number_of),
        Column("grade", _("Grade"), _grade, _grade, total=_grades),
        Column("orders", _("Orders"), _orders, at_first=False),
        Column("remedied", _("Remedied"), _remedied, _remedied_at, "date"),
        Column("cured", _("To be cured by"), lambda row: day_words(row.cured_by, _("No date")),
               lambda row: row.cured_by, "date", at_first=False),
        Column("by", _("By"), _by, _by),
    ]  # fmt: skip
    filters: list[Filter[Finding]] = [
        Filter("words", _("Words"), _words, search=True),
        Filter("equipment", _("Equipment"), lambda row: row.equipment.tag, _equipment),
        Filter("grade", _("Grade"), lambda row: row.grade, _grade),
        Filter("by", _("By"), _by),
    ]  # fmt: skip
    return TableKind("findings", _("Findings"), columns, filters, also=("show",))


def _equipment(row: Finding) -> str:
    return str(row.equipment)


def _finding(row: Finding, venue: Venue) -> Cell:
    return Cell(said(row.what), reverse("finding", args=[venue.slug, row.pk]))


def _grade(row: Finding) -> str:
    return said(row.get_grade_display())


def _by(row: Finding) -> str:
    return row.by.name


def _number_of(rows: Sequence[Finding]) -> str:
    return ngettext("%(number)s finding", "%(number)s findings", len(rows)) % {"number": len(rows)}


def _grades(rows: Sequence[Finding]) -> str:
    return counted(small_within(said(row.get_grade_display())) for row in rows)


def _words(row: Finding) -> str:
    """Found by what is kept and by what is shown."""
    return f"{row.equipment} {row.what} {said(row.what)} {_by(row)}"


def _orders(row: Finding) -> str:
    told = [
        _("%(order)s, lifted") % {"order": said(order.get_what_display())}
        if hasattr(order, "returned")
        else said(order.get_what_display())
        for order in row.orders.all()
    ]
    return "; ".join(told) or _("None")


def _remedied_at(row: Finding) -> datetime | None:
    return max((remedy.at for remedy in row.remedies.all()), default=None)


def _remedied(row: Finding) -> str:
    at = _remedied_at(row)
    return day_words(localtime(at)) if at else _("Not yet")
