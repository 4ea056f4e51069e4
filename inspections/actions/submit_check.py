"""Submit a check: record, answers, readings, judgements, findings, orders and log line in ONE
transaction. Sending twice stores once: the draft's id is the record's id."""

from __future__ import annotations

from datetime import date, datetime

from django.db import IntegrityError, transaction

from inspections.actions.close_task import close_task
from inspections.actions.store_answers import store_answers
from inspections.consequences import worst
from inspections.models import Draft, Record
from inspections.queries.checks import Sheet, sheet_of
from inspections.record_body import record_body
from venue.actions.log import Deed, write_lines
from venue.log_hash import sha256_of
from venue.models import Membership, Person, Role
from venue.queries.people import Standing, standing_of


class CheckIncomplete(ValueError):
    """Some questions are open. Everything typed is kept."""


def submit_check(
    *,
    draft: Draft,
    by: Person,
    at: datetime,
    day: date | None = None,
    latest: datetime | None = None,
    role: str = "",
) -> Record:
    """The record of this draft; the same one when it was submitted before. The draft's remark
    and hours worked are stored as they are in memory, so that they may come with the submit.

    `day` is given where the check was done earlier than it arrived: on a phone without signal. Where
    the phone's clock was changed it was done between `day` and `latest`: whoever signs was
    competent on both days. `role`: as what `by` was let in, where that was just asked.
    """
    sent = Record.objects.filter(pk=draft.pk).first() if draft.submitted_at else None
    if sent:
        return sent
    day = day or at.astimezone(draft.equipment.venue.zone).date()
    sheet = sheet_of(draft, day)
    if sheet.open_count:
        if sheet.open_count == 1:
            raise CheckIncomplete("1 question is still open. Nothing you typed is lost.")
        raise CheckIncomplete(
            f"{sheet.open_count} questions are still open. Nothing you typed is lost."
        )
    try:
        return _store(sheet, by, at, day, latest or at, role or _role_of(by, sheet))
    except IntegrityError:
        # Two submits at once, or of an old copy of the draft: the other one stored it.
        return Record.objects.get(pk=draft.pk)


@transaction.atomic
def _store(
    sheet: Sheet, by: Person, at: datetime, day: date, latest: datetime, role: str
) -> Record:
    draft, venue = sheet.draft, sheet.draft.equipment.venue
    standing = standing_of(by, venue, sheet.regime.level, day)
    until = latest.astimezone(venue.zone).date()
    if standing.may_sign and until != day:
        standing = standing_of(by, venue, sheet.regime.level, until)
    record = _record(sheet, by, at, day, standing, role)
    record.save(force_insert=True)
    deeds = store_answers(record, sheet, by, at, day)
    Draft.objects.filter(pk=draft.pk).update(
        submitted_at=at, remark=draft.remark, worked=draft.worked
    )
    if draft.task:
        close_task(task=draft.task, record=record, standing=standing, looked_at=latest, day=day)
    after = {
        "state": record.state, "sha256": record.sha256, "may_sign": standing.may_sign,
        "day": record.done_on,
    }  # fmt: skip
    deeds.append(Deed("submit_check", record, after=after))
    write_lines(venue=venue, by=by, at=at, deeds=deeds)
    return record


def _role_of(by: Person, sheet: Sheet) -> str:
    venue = sheet.draft.equipment.venue_id
    return Membership.objects.get(person=by, venue=venue, ended_on__isnull=True).role


def _record(
    sheet: Sheet, by: Person, at: datetime, day: date, standing: Standing, role: str
) -> Record:
    draft, venue = sheet.draft, sheet.draft.equipment.venue
    record = Record(
        id=draft.pk, venue=venue, equipment=draft.equipment, task=draft.task, version=draft.version,
        by=by, by_name=by.name, by_role=Role(role).label,
        by_competence=standing.words[:300], may_sign=standing.may_sign, started_at=draft.started_at,
        at=at, done_on=day, state=worst([asked.state for asked in sheet.asked]), remark=draft.remark,
    )  # fmt: skip
    if worked := sheet.worked:
        record.hours_worked, record.people_worked = worked.hours, worked.people
    record.body = record_body(record, sheet)
    record.sha256 = sha256_of(record.body)
    return record
