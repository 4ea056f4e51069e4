"""Who is here and what they may sign, as a long table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from venue.language_now import said
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Competence, Venue
from venue.queries.people import LEVELS, PersonHere
from venue.table_shapes import Cell, Column, Deed, Filter

# Worst first: by what a manager looks for.
VALIDITY = ("lapsed", "lapses soon", "valid")


def people_table(venue: Venue, *, manages: bool) -> TableKind[PersonHere]:
    columns: list[Column[PersonHere]] = [
        Column("name", _("Name"), _name, _name_words, "head", total=_number_of),
        Column("role", _("Role"), _role, _role, total=lambda rows: counted(_role(row) for row in rows)),
        Column("competence", _("Competence"), _competence, _badness, total=_lapsed),
        Column("ends", _("First to lapse"), lambda row: day_words(_first_end(row), _("No end date")),
               _first_end, "date", at_first=False),
    ]  # fmt: skip
    if manages:
        columns.append(
            Column("deeds", _("Actions"), lambda row: Cell("", deeds=_deeds(row, venue)))
        )
    filters: list[Filter[PersonHere]] = [
        Filter("words", _("Words"), _words, search=True),
        Filter("role", _("Role"), lambda row: row.membership.role, _role),
        Filter("level", _("Competence"), _name_words, keeps=_holds, choices=_levels()),
        Filter("validity", _("State"), _worst, lambda row: capfirst(_worst_words(row))),
    ]  # fmt: skip
    return TableKind("people", _("People"), columns, filters)


def _name_words(row: PersonHere) -> str:
    return row.membership.person.name


def _name(row: PersonHere) -> Cell:
    return Cell(_name_words(row), more=_("Invited, not here yet") if row.waits else "")


def _role(row: PersonHere) -> str:
    return said(row.membership.get_role_display())


def _competence(row: PersonHere) -> Cell:
    """The mark where one of them has lapsed, since its holder may record and may not sign."""
    told = "; ".join(_told(held, validity) for held, validity in row.competences)
    state = {"lapsed": "late", "lapses soon": "due"}.get(_worst(row), "")
    return Cell(told or _("None on file"), state=state)


def _told(held: Competence, validity: str) -> str:
    facts = {"what": f"{said(held.get_level_display())}: {held.certificate}"}
    if held.expires_on is None:
        return _("%(what)s, no end date") % facts
    facts["day"] = day_words(held.expires_on)
    if validity == "valid":
        return _("%(what)s, until %(day)s") % facts
    if validity == "lapsed":
        return _("%(what)s, lapsed on %(day)s") % facts
    return _("%(what)s, lapses on %(day)s") % facts


def _worst(row: PersonHere) -> str:
    there = {validity for _held, validity in row.competences}
    return next((each for each in VALIDITY if each in there), "none on file")


def _worst_words(row: PersonHere) -> str:
    words = {
        "lapsed": _("lapsed"), "lapses soon": _("lapses soon"), "valid": _("valid"),
        "none on file": _("none on file"),
    }  # fmt: skip
    return words[_worst(row)]


def _badness(row: PersonHere) -> int:
    order = ("none on file", *VALIDITY)
    return order.index(_worst(row))


def _first_end(row: PersonHere) -> date | None:
    return min((held.expires_on for held, _v in row.competences if held.expires_on), default=None)


def _levels() -> list[tuple[str, str]]:
    return [(level, said(Competence.Level(level).label)) for level in LEVELS]


def _holds(row: PersonHere, level: str) -> bool:
    return any(held.level == level for held, _v in row.competences)


def _words(row: PersonHere) -> str:
    held = " ".join(f"{one.certificate} {one.issued_by}" for one, _v in row.competences)
    return f"{_name_words(row)} {_role(row)} {held}"


def _deeds(row: PersonHere, venue: Venue) -> list[Deed]:
    to = [venue.slug, row.membership.pk]
    deeds = [
        Deed(_("A new link"), reverse("renew_invitation", args=to), post=True),
        Deed(_("Add a competence"), reverse("add_competence", args=to)),
        Deed(_("End the role"), reverse("end_membership", args=to), post=True),
    ]
    return deeds if row.waits else deeds[1:]


def _number_of(rows: Sequence[PersonHere]) -> str:
    return ngettext("%(number)s person", "%(number)s people", len(rows)) % {"number": len(rows)}


def _lapsed(rows: Sequence[PersonHere]) -> str:
    return counted(_worst_words(row) for row in sorted(rows, key=_badness))
