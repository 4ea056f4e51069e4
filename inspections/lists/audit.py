"""What was due and done, as a long table for an auditor."""

from __future__ import annotations

from collections.abc import Sequence

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.queries.audit import OUTCOMES, Audited
from venue.language_now import said
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.table_shapes import Cell, Column, Filter


def audit_table(venue: Venue) -> TableKind[Audited]:
    columns = [
        Column("number", _("Task"), lambda row: _task(row, venue), lambda row: row.task.pk, "number"),
        Column("equipment", _("Equipment"), lambda row: _piece(row, venue), lambda row: str(row.task.equipment),
               "head", total=_number_of),
        Column("check", _("Check"), _check, _check),
        Column("due", _("Due"), lambda row: day_words(row.task.due_on), lambda row: row.task.due_on, "date"),
        Column("outcome", _("Outcome"), _outcome, lambda row: OUTCOMES.index(row.outcome), total=_outcomes),
        Column("done", _("Done"), lambda row: _done(row, venue), lambda row: row.task.done_on, "date"),
        Column("lawful", _("Lawful until"), lambda row: day_words(row.task.last_lawful_on),
               lambda row: row.task.last_lawful_on, "date", at_first=False),
    ]  # fmt: skip
    filters = [
        Filter("words", _("Words"), lambda row: f"{row.task.equipment} {_check(row)}", search=True),
        Filter("check", _("Check"), lambda row: row.task.plan.version.title, _check),
        Filter("outcome", _("Outcome"), lambda row: row.outcome, lambda row: capfirst(said(row.outcome))),
    ]  # fmt: skip
    return TableKind("audit", _("Tasks"), columns, filters, also=("start", "end"))


def _task(row: Audited, venue: Venue) -> Cell:
    return Cell(str(row.task.pk), reverse("task", args=[venue.slug, row.task.pk]))


def _piece(row: Audited, venue: Venue) -> Cell:
    where = reverse("equipment", args=[venue.slug, row.task.equipment_id])
    return Cell(str(row.task.equipment), where)


def _check(row: Audited) -> str:
    return said(row.task.plan.version.title)


def _outcome(row: Audited) -> Cell:
    """As it came out, and in whose words it was put off or closed."""
    put_off = (
        _("Put off: %(why)s") % {"why": row.task.deferred_why} if row.task.deferred_why else ""
    )
    return Cell(
        capfirst(said(row.outcome)), more="; ".join(filter(None, (put_off, row.task.closed_why)))
    )


def _done(row: Audited, venue: Venue) -> Cell:
    if not row.task.done_on:
        return Cell(_("Not done"))
    where = reverse("record", args=[venue.slug, row.record]) if row.record else ""
    return Cell(day_words(row.task.done_on), where)


def _number_of(rows: Sequence[Audited]) -> str:
    return ngettext("%(number)s task", "%(number)s tasks", len(rows)) % {"number": len(rows)}


def _outcomes(rows: Sequence[Audited]) -> str:
    return counted(row.outcome for row in sorted(rows, key=lambda row: OUTCOMES.index(row.outcome)))
