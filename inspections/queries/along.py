"""The voice notes and the drawn signature of a check, announced or here."""

from __future__ import annotations

import json
from dataclasses import dataclass

from inspections.along import Along, read_along
from inspections.models import CheckFile, Draft, Record


@dataclass(frozen=True)
class AlongShown:
    """One of a record's, with the file where it is here."""

    along: Along
    words: str  # of the question it belongs to; none: of the whole check
    file: CheckFile | None
    announced: bool


def along_of_draft(draft: Draft) -> list[Along]:
    """What the phone announced, and what is here already."""
    rows = CheckFile.objects.filter(check_id=draft.pk, by=draft.by_id)
    here = [Along(*row) for row in rows.values_list("what", "question", "sha256")]
    return list(dict.fromkeys([*read_along(draft.phone.get("along")), *here]))


def along_of_record(record: Record) -> list[AlongShown]:
    """What the record names, here or not; and what came for it without being named."""
    rows = CheckFile.objects.filter(check_id=record.pk, venue_id=record.venue_id, by=record.by_id)
    here = {_along(row): row for row in rows.select_related("kept_file")}
    said = json.loads(record.body).get("along", [])
    named, words = read_along(said), {each["question"]: each["asked"] for each in said}
    return [
        AlongShown(each, words.get(each.question, ""), here.get(each), each in named)
        for each in dict.fromkeys([*named, *here])
    ]


def _along(row: CheckFile) -> Along:
    return Along(row.what, row.question, row.sha256)
