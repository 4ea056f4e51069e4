"""The files of a house as a long table."""

from __future__ import annotations

from collections.abc import Sequence

from django.template.defaultfilters import filesizeformat
from django.urls import reverse
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.queries.house_files import HouseFile, Use
from venue.language_now import said, typed_said
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.table_shapes import Cell, Column, Deed, Filter


def file_table(venue: Venue) -> TableKind[HouseFile]:
    columns: list[Column[HouseFile]] = [
        Column("file", _("File"), lambda row: _file(row, venue), lambda row: row.kept.name, "head",
               total=_number_of),
        Column("kind", _("Kind"), _kind, _kind, total=_kinds),
        Column("belongs", _("Belongs to"), _belongs),
        Column("piece", _("Equipment"), lambda row: row.piece, lambda row: row.piece),
        Column("size", _("Size"), lambda row: _size(row.kept.size), lambda row: row.kept.size, "figure",
               total=lambda rows: _size(sum(row.kept.size for row in rows))),
        Column("added", _("Added"), lambda row: day_words(localtime(row.kept.at)),
               lambda row: row.kept.at, "date"),
        Column("by", _("By"), _by, _by),
        Column("hash", _("SHA-256"), lambda row: Cell(row.kept.sha256, mono=True), at_first=False),
    ]  # fmt: skip
    filters: list[Filter[HouseFile]] = [
        Filter("words", _("Words"), _words, search=True),
        Filter("kind", _("Kind"), lambda row: row.kept.what, _kind),
        Filter("piece", _("Equipment"), lambda row: row.piece, keeps=_is_of),
        Filter("by", _("By"), _by),
        Filter("since", _("Added from"), _day, day=True, keeps=lambda row, day: _day(row) >= day),
        Filter("until", _("Added until"), _day, day=True, keeps=lambda row, day: _day(row) <= day),
    ]  # fmt: skip
    return TableKind("files", _("Files"), columns, filters)


def _file(row: HouseFile, venue: Venue) -> Cell:
    if row.gone:
        return Cell(
            row.kept.name, more=_("Disposed of after its time; that it was kept stays known")
        )
    return Cell(row.kept.name, reverse("kept_file", args=[venue.slug, row.kept.pk]))


def _kind(row: HouseFile) -> str:
    return said(row.kept.get_what_display())


def _belongs(row: HouseFile) -> Cell:
    """The first as a way, further ones below it."""
    if not row.uses:
        return Cell(_("Nothing leads to it"))
    first, *further = row.uses
    deeds = [Deed(_use(use), use.url) for use in further if use.url]
    return Cell(_use(first), first.url, deeds=deeds)


def _use(use: Use) -> str:
    told = (typed_said(use.title) if use.typed else said(use.title)) or use.piece
    return f"{told}, {day_words(use.day)}" if use.day else told


def _size(size: int) -> str:
    return str(filesizeformat(size))


def _by(row: HouseFile) -> str:
    return row.kept.by.name if row.kept.by else said("Loftbook (by itself)")


def _day(row: HouseFile) -> str:
    return localtime(row.kept.at).date().isoformat()


def _is_of(row: HouseFile, piece: str) -> bool:
    return any(use.piece == piece for use in row.uses)


def _words(row: HouseFile) -> str:
    """Found by what is kept and by what is shown."""
    of = " ".join(f"{use.title} {_use(use)} {use.piece}" for use in row.uses)
    return f"{row.kept.name} {_kind(row)} {of} {row.kept.sha256}"


def _number_of(rows: Sequence[HouseFile]) -> str:
    return ngettext("%(number)s file", "%(number)s files", len(rows)) % {"number": len(rows)}


def _kinds(rows: Sequence[HouseFile]) -> str:
    return counted(row.kept.get_what_display().lower() for row in rows)
