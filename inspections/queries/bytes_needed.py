"""Which bytes of files nobody needs any longer. The same file, sent again after it was disposed of,
hangs on its old row: that row has a disposal and is needed all the same."""

from __future__ import annotations

from collections.abc import Collection

from django.db.models import Q

from inspections.models import (
    CheckFile,
    Countersignature,
    Disposal,
    Report,
    SentPhotograph,
)
from inspections.queries.disposal import Own, is_led_to, own_of_record, own_of_report
from inspections.queries.disposal_of_things import own_of_thing
from venue.models import EquipmentFile, KeptFile, PartFile

# When the row that leads to a file was made; of the other tables, when what it belongs to was.
MADE: dict[type, str] = {
    CheckFile: "received_at", SentPhotograph: "received_at", Report: "at", Countersignature: "at",
    EquipmentFile: "at", PartFile: "at",
}  # fmt: skip


def bytes_nobody_needs(hashes: Collection[str]) -> set[str]:
    """The same bytes may be kept under another name, in another house, or once more."""
    rows = KeptFile.objects.filter(Q(sha256__in=hashes) | Q(shown_sha256__in=hashes))
    needed = {
        each for row in rows if _is_needed(row) for each in (row.sha256, row.shown_sha256)
    }  # fmt: skip
    return set(hashes) - needed


def _is_needed(file: KeptFile) -> bool:
    """Unless it was disposed of, and nothing led to it but what it was disposed of with."""
    disposal = Disposal.objects.filter(kept_file=file).first()
    return disposal is None or is_led_to(file, _own_of(disposal))


def _own_of(disposal: Disposal) -> Own:
    """The rows that led to the file when it was disposed of."""
    thing = disposal.remedy or disposal.equipment or disposal.part
    own: Own = {}
    if disposal.record:
        own = own_of_record(disposal.record)
    elif disposal.report:
        own = own_of_report(disposal.report)
    elif thing:
        own = own_of_thing(thing)
    until = {model: {f"{MADE[model]}__lte": disposal.at} for model in own if model in MADE}
    timed = {model: rows | until.get(model, {}) for model, rows in own.items()}
    return {**timed, Disposal: {"pk": disposal.pk}}
