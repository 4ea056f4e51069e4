"""Lines of the log as a long table."""

from __future__ import annotations

from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from venue.language_now import choice_said, said
from venue.lists.words import day_words
from venue.long_table import TableKind
from venue.queries.log_names import ShownLine
from venue.table_shapes import Cell, Column, Filter


def log_table() -> TableKind[ShownLine]:
    """`until` and `after` are read by the query, which begins there."""
    columns: list[Column[ShownLine]] = [
        Column("number", _("No."), lambda row: str(row.line.number), lambda row: row.line.number, "number"),
        Column("at", _("When"), lambda row: _at(row, "j M Y H:i"), lambda row: row.line.at, "date"),
        Column("who", _("Who"), _who, _who),
        Column("did", _("Did"), _did, _did),
        Column("what", _("What"), lambda row: row.what, lambda row: row.what, "head"),
        Column("subject", _("Row"), lambda row: row.line.subject, lambda row: row.line.subject, at_first=False),
        Column("hash", _("Hash"), lambda row: Cell(row.line.sha256[:12], mono=True), form="date"),
        Column("whole", _("Whole hash"), lambda row: Cell(row.line.sha256, mono=True), at_first=False),
    ]  # fmt: skip
    filters: list[Filter[ShownLine]] = [
        Filter("words", _("Words"), lambda row: f"{_who(row)} {_did(row)} {row.what}", search=True),
        Filter("until", _("Up to the day"), _who, day=True, keeps=lambda row, day: True),
        Filter("who", _("Who"), _who),
        Filter("did", _("Did"), lambda row: row.line.did, _did),
    ]  # fmt: skip
    return TableKind("log", _("Lines of the log"), columns, filters, also=("after",))


def _at(row: ShownLine, form: str) -> str:
    return day_words(localtime(row.line.at), form=form)


def _who(row: ShownLine) -> str:
    """A name of one word stays as it is, also where a month has the same."""
    return said(row.who) if " " in row.who else row.who


def _did(row: ShownLine) -> str:
    return choice_said(row.line.did)
