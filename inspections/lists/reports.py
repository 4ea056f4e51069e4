"""Signed reports as a long table."""

from __future__ import annotations

from collections.abc import Sequence

from django.urls import reverse
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Report
from venue.language_now import said
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.table_shapes import Cell, Column, Filter


def report_table(venue: Venue) -> TableKind[Report]:
    columns: list[Column[Report]] = [
        Column("number", _("Number"), lambda row: str(row.number), lambda row: row.number, "number"),
        Column("report", _("Report"), lambda row: _report(row, venue), lambda row: row.title, "head",
               total=_number_of),
        Column("kind", _("Kind"), _kind, _kind, at_first=False, total=_kinds),
        Column("examined", _("Examined"), lambda row: day_words(row.examined_on),
               lambda row: row.examined_on, "date"),
        Column("signer", _("Signed by"), lambda row: row.signer_name, lambda row: row.signer_name),
        Column("signed", _("Signed"), lambda row: day_words(localtime(row.at)), lambda row: row.at, "date"),
        Column("next", _("Next due"), lambda row: day_words(row.next_due_on, _("Not planned")),
               lambda row: row.next_due_on, "date"),
        Column("hash", _("Hash of the record"), lambda row: Cell(row.record_sha256, mono=True), at_first=False),
    ]  # fmt: skip
    filters: list[Filter[Report]] = [
        Filter("words", _("Words"), lambda row: f"{row.number} {row.title} {row.signer_name}", search=True),
        Filter("kind", _("Kind"), lambda row: row.what, _kind),
        Filter("signer", _("Signed by"), lambda row: row.signer_name),
        Filter("since", _("Examined from"), lambda row: row.examined_on.isoformat(), day=True,
               keeps=lambda row, day: row.examined_on.isoformat() >= day),
        Filter("until", _("Examined until"), lambda row: row.examined_on.isoformat(), day=True,
               keeps=lambda row, day: row.examined_on.isoformat() <= day),
    ]  # fmt: skip
    return TableKind("reports", _("Reports"), columns, filters)


def _report(row: Report, venue: Venue) -> Cell:
    return Cell(row.title, reverse("report", args=[venue.slug, row.number]), more=_kind(row))


def _kind(row: Report) -> str:
    return said(row.kind_words)


def _number_of(rows: Sequence[Report]) -> str:
    return ngettext("%(number)s report", "%(number)s reports", len(rows)) % {"number": len(rows)}


def _kinds(rows: Sequence[Report]) -> str:
    return counted(row.kind_words for row in rows)
