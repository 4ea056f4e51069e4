from __future__ import annotations

import json

from django.db.models import QuerySet

from inspections.along import TO_COME
from inspections.models import Answer, Record, Sent, SentPhotograph
from inspections.phone_message import FLAG_WORDS
from inspections.queries.along import along_of_record


def answers_of(record: Record) -> QuerySet[Answer]:
    """Every answer with readings, judgements and photographs, in a fixed number of queries."""
    return record.answers.select_related("part", "observation").prefetch_related(
        "readings", "judgements", "photos__kept_file", "findings"
    )


def phone_words(record: Record) -> list[str]:
    """What a person should know of a record that came from a phone; empty for any other."""
    sent = Sent.objects.filter(record=record).first()
    if sent is None:
        return []
    looked = f"Done without signal, between {sent.earliest_at:%H:%M} and {sent.latest_at:%H:%M} UTC"
    if sent.earliest_at == sent.latest_at:
        looked = f"Filled in on a phone, done by {sent.earliest_at:%-d %b %Y, %H:%M} UTC"
    arrived = f"arrived {sent.received_at:%-d %b %Y, %H:%M} UTC"
    phone = json.loads(record.body).get("phone") or {}
    asked = phone.get("attention")
    beside = [f"Asked beside: {asked['question']} {asked['answer']}."] if asked else []
    shown = along_of_record(record)
    awaited = sorted({TO_COME[each.along.what] for each in shown if each.file is None})
    flags = [*sent.flags, *awaited, *_photo_to_come(record, phone.get("photographs_sent", []))]
    return [f"{looked}; {arrived}.", *beside, *(FLAG_WORDS[flag] for flag in flags)]


def _photo_to_come(record: Record, announced: list[str]) -> list[str]:
    """What was announced and is not here yet is said for as long as it is so."""
    here = SentPhotograph.objects.filter(check_id=record.pk).values_list("sha256", flat=True)
    return ["photo_to_come"] if set(announced) - set(here) else []
