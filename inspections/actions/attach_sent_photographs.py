"""A photograph of a check on a phone arrives before its check, or after."""

from __future__ import annotations

from datetime import datetime
from hashlib import sha256
from uuid import UUID

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction

from inspections.answers import question_key
from inspections.models import Answer, AnswerPhoto, Draft, DraftPhoto, Record, SentPhotograph
from venue.actions.keep_file import keep_photograph
from venue.actions.log import write_line
from venue.models import Person, Venue

LONGEST_QUESTION = 160


class NotAsAnnounced(ValueError):
    """The bytes are not those whose SHA-256 the address names: send the photograph again."""


def receive_photograph(
    *, venue: Venue, check_id: UUID, question: str, content: bytes, digest: str, by: Person,
    at: datetime,
) -> SentPhotograph:  # fmt: skip
    """Raises NotAsAnnounced, NotAPhotograph, StoreFull. The same one twice is kept once."""
    if sha256(content).hexdigest() != digest:
        raise NotAsAnnounced("The photograph was damaged on its way. Send it again.")
    question = question[:LONGEST_QUESTION]
    mine = SentPhotograph.objects.filter(check_id=check_id, by=by, question=question, sha256=digest)
    if before := mine.first():
        return before
    upload = SimpleUploadedFile("photograph.jpg", content)
    try:
        with transaction.atomic():
            return _keep(venue, check_id, question, upload, digest, by, at)
    except IntegrityError:
        return mine.get()


def _keep(
    venue: Venue, check_id: UUID, question: str, upload: SimpleUploadedFile, digest: str,
    by: Person, at: datetime,
) -> SentPhotograph:  # fmt: skip
    kept = keep_photograph(venue=venue, upload=upload, by=by, at=at)
    sent = SentPhotograph.objects.create(
        check_id=check_id, venue=venue, by=by, question=question, sha256=digest,
        kept_file=kept, received_at=at,
    )  # fmt: skip
    record = Record.objects.filter(pk=check_id, venue=venue, by=by).first()
    if record:
        _attach_to_record(record, sent, by, at)
    return sent


def attach_to_draft(draft: Draft) -> None:
    """The photographs that came before their check."""
    rows = SentPhotograph.objects.filter(check_id=draft.pk, by=draft.by)
    DraftPhoto.objects.bulk_create(
        [
            DraftPhoto(draft=draft, question=row.question, kept_file_id=row.kept_file_id)
            for row in rows
        ]
    )


def _attach_to_record(record: Record, sent: SentPhotograph, by: Person, at: datetime) -> None:
    """The record itself stays as it is: it announced the photograph by its SHA-256."""
    answers = Answer.objects.filter(record=record)
    keys = {question_key(answer.check_slug, answer.part_id): answer for answer in answers}
    answer = keys.get(sent.question)
    if answer is None:
        return
    AnswerPhoto.objects.create(answer=answer, kept_file=sent.kept_file)
    after = {"question": sent.question, "sha256": sent.kept_file.sha256}
    write_line(venue=record.venue, by=by, at=at, did="add_photograph", subject=record, after=after)
