"""A voice note or a drawn signature of a check arrives, before its check or after."""

from __future__ import annotations

from datetime import datetime
from hashlib import sha256
from uuid import UUID

from django.db import IntegrityError, transaction

from inspections.actions.attach_sent_photographs import NotAsAnnounced
from inspections.actions.receive_message import OfAnotherPerson
from inspections.along import LONGEST_QUESTION, VOICE
from inspections.models import CheckFile, Draft, Record
from venue.actions.keep_file import keep_drawn_signature, keep_voice_note
from venue.actions.log import write_line
from venue.models import Person, Venue


def receive_along(
    *, venue: Venue, check_id: UUID, what: str, question: str, content: bytes, by: Person,
    at: datetime, digest: str = "", name: str = "The recording",
) -> CheckFile:  # fmt: skip
    """The same one twice is kept once. `digest` is what the sender says of the bytes.

    Raises NotAsAnnounced, NotAVoiceNote, NotADrawing, OfAnotherPerson, StoreFull.
    """
    found = sha256(content).hexdigest()
    if digest and found != digest:
        raise NotAsAnnounced("It was damaged on its way. Send it again.")
    _refuse_others(check_id, by)
    question = question[:LONGEST_QUESTION]
    mine = CheckFile.objects.filter(
        check_id=check_id, by=by, what=what, question=question, sha256=found
    )
    if before := mine.first():
        return before
    try:
        return _keep(venue, check_id, what, question, content, name, by, at)
    except IntegrityError:
        return mine.get()


@transaction.atomic
def _keep(
    venue: Venue, check_id: UUID, what: str, question: str, content: bytes, name: str, by: Person,
    at: datetime,
) -> CheckFile:  # fmt: skip
    if what == VOICE:
        kept = keep_voice_note(venue=venue, content=content, name=name, by=by, at=at)
    else:
        kept = keep_drawn_signature(venue=venue, content=content, by=by, at=at)
    row = CheckFile.objects.create(
        check_id=check_id, venue=venue, by=by, what=what, question=question,
        sha256=kept.sha256, kept_file=kept, received_at=at,
    )  # fmt: skip
    after = {"check": str(check_id), "question": question, "sha256": kept.sha256}
    write_line(venue=venue, by=by, at=at, did=f"keep_{kept.what}", subject=row, after=after)
    return row


def _refuse_others(check_id: UUID, by: Person) -> None:
    for rows in (Record.objects.filter(pk=check_id), Draft.objects.filter(pk=check_id)):
        if rows.exclude(by=by).exists():
            raise OfAnotherPerson("This belongs to a check of another person.")
