"""The records of late that raise a question, for the manager to ask about in person."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from inspections.models import AnswerPhoto, Reading, Record, RecordNote
from inspections.plausibility import Told, questions_about
from venue.models import Venue

DAYS = 90
MOST = 2000


@dataclass(frozen=True)
class Raised:
    record: Record
    questions: list[str]
    notes: list[RecordNote]


def records_to_ask_about(venue: Venue, day: date) -> list[Raised]:
    """The newest first. The same number of queries however many records there are."""
    since = day - timedelta(days=2 * 366)
    rows = Record.objects.filter(venue=venue, done_on__gte=since).select_related(
        "equipment", "version", "by"
    )
    records = list(reversed(rows.order_by("-at")[:MOST]))
    told = _told(records)
    recent = day - timedelta(days=DAYS)
    raised = [
        (record, questions)
        for record, questions in _questions(records, told)
        if questions and record.done_on >= recent
    ]
    notes = _notes([record for record, _ in raised])
    return [Raised(record, questions, notes[record.pk]) for record, questions in reversed(raised)]


def _questions(
    records: Iterable[Record], told: dict[object, Told]
) -> Iterable[tuple[Record, list[str]]]:
    before: dict[tuple[int, str], Told] = {}
    photographs: set[str] = set()
    for record in records:
        mine, which = told[record.pk], (record.equipment_id, record.version.slug)
        yield record, questions_about(mine, before.get(which), photographs)
        before[which] = mine
        photographs |= mine.photographs


def _told(records: list[Record]) -> dict[object, Told]:
    readings: dict[object, list[tuple[str, str]]] = defaultdict(list)
    photographs: dict[object, set[str]] = defaultdict(set)
    ids = [record.pk for record in records]
    for pk, slug, part, what, quantity in Reading.objects.filter(
        answer__record__in=ids
    ).values_list("answer__record", "answer__check_slug", "answer__part", "what", "quantity"):
        readings[pk].append((f"{slug}.{part} {what}", quantity["typed"]))
    for pk, sha256 in AnswerPhoto.objects.filter(answer__record__in=ids).values_list(
        "answer__record", "kept_file__sha256"
    ):
        photographs[pk].add(sha256)
    return {
        record.pk: Told(
            _moments(record), tuple(sorted(readings[record.pk])),
            frozenset(photographs[record.pk]), record.remark.strip(),
        )
        for record in records
    }  # fmt: skip


def _moments(record: Record) -> tuple[datetime, ...]:
    answers = json.loads(record.body).get("answers", [])
    return tuple(
        datetime.fromisoformat(answer["answered_at"])
        for answer in answers
        if answer.get("answered_at")
    )


def _notes(records: list[Record]) -> dict[object, list[RecordNote]]:
    found: dict[object, list[RecordNote]] = defaultdict(list)
    for note in RecordNote.objects.filter(record__in=records).select_related("by"):
        found[note.record_id].append(note)
    return found
