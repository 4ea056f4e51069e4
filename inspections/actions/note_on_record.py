"""What was said when somebody was asked about a record. The record itself stays as it is."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.models import Record, RecordNote
from venue.actions.log import write_line
from venue.models import Person


class NothingSaid(ValueError):
    """A note needs words."""


@transaction.atomic
def note_on_record(*, record: Record, text: str, by: Person, at: datetime) -> RecordNote:
    text = text.strip()[:2000]
    if not text:
        raise NothingSaid("Write what was said, in a few words.")
    note = RecordNote.objects.create(record=record, text=text, by=by, at=at)
    after = {"text": text, "record": str(record.pk)}
    write_line(venue=record.venue, by=by, at=at, did="note_on_record", subject=note, after=after)
    return note
