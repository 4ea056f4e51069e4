"""The list of tasks as a long table."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.models import Task
from inspections.queries.tasks import Stop
from inspections.work_files import work_needs
from venue.kind_files import kinds
from venue.language_now import said
from venue.lists.words import day_words
from venue.long_table import TableKind
from venue.models import Venue
from venue.table_shapes import Cell, Column, Filter


def task_table(venue: Venue, show: str) -> TableKind[Stop]:
    done = show == "done"
    columns = [
        Column("done", _("Done"), _done, lambda stop: stop.task.done_on, "date", at_first=done),
        Column("planned", _("Planned"), lambda stop: planned_words(stop.task),
               lambda stop: (stop.task.planned_on, stop.task.half), "date"),
        Column("lawful", _("Lawful until"), lambda stop: day_words(stop.task.last_lawful_on),
               lambda stop: stop.task.last_lawful_on, "date"),
        Column("tag", _("Tag"), _tag, _tag),
        Column("task", _("Task"), lambda stop: _named(stop, venue), _title, "head", total=_tasks),
        Column("place", _("Place"), _place, _place, at_first=False),
        Column("person", _("Person"), _person_words, _person),
        Column("hours", _("Hours, estimated"), lambda stop: _said(_hours(stop)), _hours, "figure",
               at_first=False, total=_all_hours),
        Column("standing", _("State"), _standing, lambda stop: stop.standing, total=_late),
    ]  # fmt: skip
    filters = [
        Filter("words", _("Words"), _words, search=True),
        Filter("place", _("Place"), _place),
        Filter("who", _("Person"), lambda stop: _person(stop) or "nobody", _led_by, keeps=_is_theirs),
        Filter("standing", _("State"), lambda stop: stop.standing, lambda stop: capfirst(said(stop.standing))),
    ]  # fmt: skip
    return TableKind(
        "done-tasks" if done else "tasks", _("Tasks"), columns, filters,
        lambda stop: "late" if stop.standing == "late" else "", sort="-done" if done else "",
        also=("show", "week"),
    )  # fmt: skip


def _title(stop: Stop) -> str:
    return said(stop.task.plan.version.title)


def _named(stop: Stop, venue: Venue) -> Cell:
    return Cell(_title(stop), reverse("task", args=[venue.slug, stop.task.pk]))


def _tag(stop: Stop) -> str:
    return stop.task.equipment.tag


def _place(stop: Stop) -> str:
    return stop.task.equipment.place.name


def _done(stop: Stop) -> str:
    return day_words(stop.task.done_on, _("Cancelled"))


def _person(stop: Stop) -> str:
    return stop.task.person.name if stop.task.person else ""


def _led_by(stop: Stop) -> str:
    nobody = _("Nobody yet") if stop.task.state == "open" else _("Not given to anyone")
    return _person(stop) or nobody


def _is_theirs(stop: Stop, name: str) -> bool:
    """Theirs to lead, or to help with, as their messages tell it."""
    helpers = (helper.name for helper in stop.task.helpers.all())
    return name in (_person(stop) or "nobody", *helpers)


def _person_words(stop: Stop) -> str:
    return with_helpers(_led_by(stop), stop.task)


def planned_words(task: Task, form: str = "j M Y") -> str:
    """The planned day, with the half of it where somebody said which."""
    words = day_words(task.planned_on, form=form)
    return f"{words}, {said(task.half_words)}" if task.half else words


def with_helpers(person: str, task: Task) -> str:
    """Whose it is, and who is at work beside them."""
    helpers = ", ".join(helper.name for helper in task.helpers.all())
    if not helpers:
        return person
    return _("%(person)s, with %(helpers)s") % {"person": person, "helpers": helpers}


def _standing(stop: Stop) -> Cell:
    return Cell(capfirst(said(stop.standing)), state=stop.mark)


def _words(stop: Stop) -> str:
    return f"{_tag(stop)} {stop.task.equipment.name} {_title(stop)} {_place(stop)} {_person_words(stop)}"


def _hours(stop: Stop) -> Decimal | None:
    """Of everybody, as a file of work estimates it; nothing where no file does."""
    plan, kind = stop.task.plan, kinds().get(stop.task.equipment.kind)
    work = work_needs().of(plan.regime, kind.family if kind else "", plan.level)
    if not work.estimated:
        return None
    helper = work.helper.person_hours if work.helper else Decimal(0)
    return work.person_hours + helper + work.examiner_hours


def _said(hours: Decimal | None) -> str:
    return _("Not estimated") if hours is None else f"{hours.normalize():f}"


def _all_hours(rows: Sequence[Stop]) -> str:
    known = [hours for stop in rows if (hours := _hours(stop)) is not None]
    unknown = len(rows) - len(known)
    if not unknown:
        return _said(sum(known, Decimal(0)))
    return _("%(hours)s, %(unknown)s not estimated") % {
        "hours": _said(sum(known, Decimal(0))),
        "unknown": unknown,
    }


def _tasks(rows: Sequence[Stop]) -> str:
    return ngettext("%(number)s task", "%(number)s tasks", len(rows)) % {"number": len(rows)}


def _late(rows: Sequence[Stop]) -> str:
    late = sum(stop.standing == "late" for stop in rows)
    return _("%(number)s late") % {"number": late}
