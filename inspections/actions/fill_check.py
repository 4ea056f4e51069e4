"""Start a check and keep what is typed, at every answer. Nothing here is evidence yet."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import IntegrityError, transaction

from inspections.actions.plans import freeze_regime
from inspections.actions.receive_along import receive_along
from inspections.along import VOICE
from inspections.answers import AS_ARRIVED
from inspections.hours_worked import read_worked, typed_worked
from inspections.models import CheckFile, Draft, DraftPhoto, RegimeVersion, Task
from inspections.regime_shapes import Regime
from venue.actions.keep_file import Upload, keep_photograph
from venue.models import Equipment, Person
from venue.voice_notes import MAX_BYTES, NotAVoiceNote

MAX_TYPED = 2000
MAX_REMARK = 4000


class AlreadySubmitted(ValueError):
    """This check was sent already; its record stands."""


def start_task_check(*, task: Task, by: Person, at: datetime) -> Draft:
    """The person's open draft of this task, or a new one. A double tap gives the same draft."""
    return _start(equipment=task.equipment, task=task, version=task.plan.version, by=by, at=at)


def start_use_check(*, equipment: Equipment, regime: Regime, by: Person, at: datetime) -> Draft:
    """A check without a task: before use, after an event, or just because."""
    version = freeze_regime(regime, at)
    mine = equipment.drafts.filter(task=None, version=version, by=by, submitted_at=None).first()
    return mine or _start(equipment=equipment, task=None, version=version, by=by, at=at)


def _start(
    *, equipment: Equipment, task: Task | None, version: RegimeVersion, by: Person, at: datetime
) -> Draft:
    mine = Draft.objects.filter(task=task, by=by, submitted_at=None).first() if task else None
    if mine:
        return mine
    try:
        with transaction.atomic():
            return Draft.objects.create(
                equipment=equipment, task=task, version=version, by=by, started_at=at
            )
    except IntegrityError:
        # The other tap was quicker; both get the same draft.
        return Draft.objects.get(task=task, by=by, submitted_at=None)


def keep_answer(*, draft: Draft, key: str, typed: Mapping[str, str], at: datetime) -> None:
    """Keep one question's typed fields, whatever they are, with the time of the answer."""
    keep_answers(draft=draft, typed={key: typed}, at=at)


def keep_answers(*, draft: Draft, typed: Mapping[str, Mapping[str, str]], at: datetime) -> None:
    """Keep the typed fields of several questions."""
    answers = {
        key: {
            name[:60]: value[:MAX_TYPED]
            for name, value in fields.items()
            if value.strip() and name != AS_ARRIVED
        }
        | {"at": at.isoformat()}
        for key, fields in typed.items()
    }
    with transaction.atomic():
        # Locked, so that two answers sent at once both stay.
        row = Draft.objects.select_for_update().get(pk=draft.pk)
        if row.submitted_at:
            raise AlreadySubmitted("This check was sent already. Start a new one to add to it.")
        row.answers |= answers
        Draft.objects.filter(pk=draft.pk).update(answers=row.answers)
    draft.answers = row.answers


def keep_remark(*, draft: Draft, remark: str) -> None:
    Draft.objects.filter(pk=draft.pk, submitted_at=None).update(remark=remark[:MAX_REMARK])


def keep_worked(*, draft: Draft, fields: Mapping[str, str]) -> None:
    """Hours worked as typed, whatever that is. Raises NotHours once they are kept."""
    draft.worked = typed_worked(fields)
    Draft.objects.filter(pk=draft.pk, submitted_at=None).update(worked=draft.worked)
    read_worked(draft.worked)


def add_draft_photograph(
    *, draft: Draft, key: str, upload: Upload, by: Person, at: datetime
) -> DraftPhoto:
    """Raises NotAPhotograph or StoreFull; the typed answers are kept either way."""
    kept = keep_photograph(venue=draft.equipment.venue, upload=upload, by=by, at=at)
    photo, _ = DraftPhoto.objects.get_or_create(draft=draft, question=key, kept_file=kept)
    return photo


def add_draft_voice_note(
    *, draft: Draft, key: str, upload: Upload, by: Person, at: datetime
) -> CheckFile:
    """Raises NotAVoiceNote or StoreFull. Without a key it belongs to the whole check."""
    name = upload.name or "The file"
    if (upload.size or 0) > MAX_BYTES:
        # Refused before it is read into memory.
        raise NotAVoiceNote(f"“{name}” is larger than 5 MB. Say it in a minute.")
    return receive_along(
        venue=draft.equipment.venue, check_id=draft.pk, what=VOICE, question=key,
        content=upload.read(), name=name, by=by, at=at,
    )  # fmt: skip
