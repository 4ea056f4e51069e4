"""Year plans, and the tasks of one of them, as long tables."""

from __future__ import annotations

from collections.abc import Sequence

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from inspections.models import YearPlan
from inspections.planned_standing import LATE
from inspections.queries.year_plans import PlanLine, hours_words
from inspections.year_board import Mark
from venue.language_now import said, small_within
from venue.lists.words import counted, day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.table_shapes import Cell, Column, Filter


def plan_table(venue: Venue) -> TableKind[PlanLine]:
    columns: list[Column[PlanLine]] = [
        Column("plan", _("Plan"), lambda row: _plan(row, venue), lambda row: str(row.plan), "head",
               total=_number_of),
        Column("first", _("First day"), lambda row: day_words(row.plan.first_day),
               lambda row: row.plan.first_day, "date", at_first=False),
        Column("state", _("State"), _state, _state, total=lambda rows: counted(row.words.lower() for row in rows)),
        Column("late", pgettext("days", "Late"), _late, lambda row: row.late_days),
        Column("asked", pgettext("when", "Asked for"), lambda row: day_words(localtime(row.plan.at), form="j M Y H:i"),
               lambda row: row.plan.at, "date"),
        Column("by", _("By"), _by, _by),
    ]  # fmt: skip
    filters: list[Filter[PlanLine]] = [
        Filter("words", _("Words"), lambda row: f"{row.plan} {_by(row)}", search=True),
        Filter("state", _("State"), lambda row: row.words, _state),
        Filter("by", _("By"), _by),
    ]  # fmt: skip
    return TableKind("year-plans", _("Year plans"), columns, filters)


def _plan(row: PlanLine, venue: Venue) -> Cell:
    return Cell(said(row.plan), reverse("year_plan", args=[venue.slug, row.plan.pk]))


def _state(row: PlanLine) -> str:
    return said(row.words)


def _late(row: PlanLine) -> str:
    if row.late_days is None:
        return _("Not known yet")
    days = {"late_days": row.late_days}
    words = ngettext("%(late_days)s day", "%(late_days)s days", row.late_days) % days
    if not row.late_already:
        return words
    already = _("%(late_already)s already on the first day") % {"late_already": row.late_already}
    return f"{words}, {already}"


def _by(row: PlanLine) -> str:
    return row.plan.by.name if row.plan.by else _("Nobody")


def _number_of(rows: Sequence[PlanLine]) -> str:
    return ngettext("%(number)s plan", "%(number)s plans", len(rows)) % {"number": len(rows)}


def planned_table(plan: YearPlan, people: Sequence[str] = ()) -> TableKind[Mark]:
    """Every task of a plan, by the day. `people`: who is asked for by name, whoever leads."""
    venue = plan.venue
    columns: list[Column[Mark]] = [
        Column("day", _("Day"), _day, lambda row: (row.planned.day, row.planned.half), "date"),
        Column("half", _("Half"), _half, lambda row: row.planned.half, at_first=False),
        Column("tag", _("Tag"), lambda row: row.planned.equipment.tag, lambda row: row.planned.equipment.tag),
        Column("task", _("Task"), lambda row: _task(row, venue), _title, "head", total=_tasks),
        Column("place", _("Place"), _place, _place),
        Column("people", _("People"), _people, _people),
        Column("hours", _("Hours of people"), lambda row: hours_words(row.planned.quarters),
               lambda row: row.planned.quarters, "figure", at_first=False, total=_hours),
        Column("lawful", _("Lawful until"), lambda row: day_words(row.standing.lawful_on),
               lambda row: row.standing.lawful_on, "date"),
        Column("state", _("State"), _standing, lambda row: row.state, total=_states),
    ]  # fmt: skip
    filters: list[Filter[Mark]] = [
        Filter("words", _("Words"), _words, search=True),
        Filter("since", _("From the day"), _iso, day=True, keeps=lambda row, day: _iso(row) >= day),
        Filter("until", _("Until the day"), _iso, day=True, keeps=lambda row, day: _iso(row) <= day),
        Filter("place", _("Place"), _place),
        Filter("who", _("People"), _people, keeps=lambda row, name: name in _names(row),
               choices=[(name, name) for name in (*people, _("examiner"), _("Nobody yet"))]),
        Filter("task", _("Task"), lambda row: row.planned.plan.version.title, _title),
        Filter("state", _("State"), lambda row: row.state, lambda row: capfirst(said(row.state))),
    ]  # fmt: skip
    return TableKind("planned-tasks", _("Tasks of the plan"), columns, filters, _edge)


def _iso(row: Mark) -> str:
    return row.planned.day.isoformat()


def _day(row: Mark) -> str:
    half = small_within(said(row.planned.get_half_display()))
    return f"{day_words(row.planned.day, form='D j M Y')}, {half}"


def _half(row: Mark) -> str:
    return said(row.planned.get_half_display())


def _title(row: Mark) -> str:
    return said(row.planned.plan.version.title)


def _task(row: Mark, venue: Venue) -> Cell:
    return Cell(_title(row), reverse("planned_task", args=[venue.slug, row.planned.pk]))


def _place(row: Mark) -> str:
    return row.planned.equipment.place.name


def _people(row: Mark) -> str:
    return ", ".join(_names(row))


def _names(row: Mark) -> list[str]:
    names = [each.person.name for each in row.planned.crew.all()]
    names += [_("examiner")] if row.planned.examiner else []
    return names or [_("Nobody yet")]


def _standing(row: Mark) -> Cell:
    """Late with its mark; what became of it or was done to it in words, else that it is planned."""
    told = ", ".join(said(words) for words in row.said)
    return Cell(capfirst(told or said(row.state)), state=_edge(row))


def _edge(row: Mark) -> str:
    return row.state if row.state == LATE else ""


def _words(row: Mark) -> str:
    piece = row.planned.equipment
    return f"{piece.tag} {piece.name} {_title(row)} {_place(row)} {_people(row)}"


def _tasks(rows: Sequence[Mark]) -> str:
    return ngettext("%(number)s task", "%(number)s tasks", len(rows)) % {"number": len(rows)}


def _hours(rows: Sequence[Mark]) -> str:
    return hours_words(sum(row.planned.quarters for row in rows))


def _states(rows: Sequence[Mark]) -> str:
    return counted(row.state for row in rows)
