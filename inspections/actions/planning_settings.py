"""What a manager tells the year planner about a venue. Each change has its line in the log; plans
made before keep what they were made from."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, TypeVar

from django.db import models, transaction

from inspections.models import (
    Absence,
    ExaminerTrade,
    HoursChoice,
    PlanningSettings,
    SetUpPrice,
    WorkingWeek,
)
from venue.actions.log import write_line
from venue.models import Person, Venue
from venue.person_references import TextAbout

Row = TypeVar("Row", PlanningSettings, WorkingWeek, ExaminerTrade, SetUpPrice, HoursChoice)


def set_planning(
    *, venue: Venue, fields: Mapping[str, Any], by: Person, at: datetime
) -> PlanningSettings:
    """Prices and habits of the whole venue."""
    return _store(PlanningSettings, venue, {}, fields, "set_planning", by, at)


def set_working_week(
    *, venue: Venue, person: Person, fields: Mapping[str, Any], by: Person, at: datetime
) -> WorkingWeek:
    return _store(WorkingWeek, venue, {"person": person}, fields, "set_working_week", by, at)


def set_examiner_trade(
    *, venue: Venue, slug: str, fields: Mapping[str, Any], by: Person, at: datetime
) -> ExaminerTrade:
    return _store(ExaminerTrade, venue, {"slug": slug}, fields, "set_examiner_trade", by, at)


def set_set_up_price(
    *, venue: Venue, slug: str, fields: Mapping[str, Any], by: Person, at: datetime
) -> SetUpPrice:
    return _store(SetUpPrice, venue, {"slug": slug}, fields, "set_set_up_price", by, at)


def set_hours_choice(
    *, venue: Venue, regime: str, family: str, keep_estimate: bool, by: Person, at: datetime
) -> HoursChoice:
    """Whether this kind of check is planned with the estimate although hours are on record."""
    keys, fields = {"regime": regime, "family": family}, {"keep_estimate": keep_estimate}
    return _store(HoursChoice, venue, keys, fields, "set_hours_choice", by, at)


def add_absence(
    *, venue: Venue, person: Person, first_day: date, last_day: date, why: str, by: Person,
    at: datetime,
) -> Absence:  # fmt: skip
    """Both days are part of it. The very same, added by a second tap, is there once."""
    told: dict[str, Any] = {
        "person": person, "first_day": first_day, "last_day": last_day, "why": why,
    }  # fmt: skip
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # two at once: one waits
        row, new = Absence.objects.get_or_create(venue=venue, **told)
        if new:
            after = told | {"why": TextAbout(why, person)} if why else told
            write_line(venue=venue, by=by, at=at, did="add_absence", subject=row, after=after)
    return row


def end_absence(*, absence: Absence, by: Person, at: datetime) -> None:
    """Taken out again; it is no evidence of an inspection, and the log keeps what it said."""
    told = {"person": absence.person, "first_day": absence.first_day, "last_day": absence.last_day}
    with transaction.atomic():
        write_line(
            venue=absence.venue, by=by, at=at, did="end_absence", subject=absence, before=told
        )
        absence.delete()


def _store(
    model: type[Row], venue: Venue, keys: dict[str, Any], fields: Mapping[str, Any], did: str,
    by: Person, at: datetime,
) -> Row:  # fmt: skip
    """One row per venue and keys, made when it is first told."""
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # two at once: one waits
        row = model._default_manager.filter(venue=venue, **keys).first()
        before = {name: getattr(row, name) for name in fields} if row else None
        if row is None:
            row = model._default_manager.create(venue=venue, **keys, **fields)
        elif before != dict(fields):
            _change(row, fields)
        else:
            return row
        write_line(
            venue=venue, by=by, at=at, did=did, subject=row, before=before, after=dict(fields)
        )
    return row


def _change(row: models.Model, fields: Mapping[str, Any]) -> None:
    type(row)._default_manager.filter(pk=row.pk).update(**fields)
    for name, value in fields.items():
        setattr(row, name, value)
