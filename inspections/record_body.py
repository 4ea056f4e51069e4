"""Everything a record says, as one JSON text that never changes: questions as asked, answers as
typed, readings, every judgement with its rule set's hash, photographs, voice notes and a drawn signature by
their SHA-256. What follows from an answer alone was written when it was judged, and is joined here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from venue.log_hash import canonical, canonical_list, canonical_map

if TYPE_CHECKING:
    from inspections.models import Record
    from inspections.queries.checks import Asked, Sheet


def record_body(record: Record, sheet: Sheet) -> str:
    """Canonical JSON (RFC 8785)."""
    texts = {name: canonical(value) for name, value in _head(record, sheet).items()}
    answers = canonical_list(_answer(asked) for asked in sheet.asked)
    return canonical_map(texts | {"answers": answers})


def _head(record: Record, sheet: Sheet) -> dict[str, Any]:
    """Everything but the answers."""
    equipment = record.equipment
    told = {
        "record": str(record.pk),
        "venue": record.venue.slug,
        "equipment": {
            "tag": equipment.tag,
            "name": equipment.name,
            "kind": equipment.kind,
            "serial": equipment.serial,
            "place": equipment.place.name,
        },
        "regime": {
            "slug": record.version.slug,
            "title": record.version.title,
            "sha256": record.version.hash,
        },
        "task": _task(record),
        "by": {"name": record.by_name, "role": record.by_role, "competence": record.by_competence},
        "may_sign": record.may_sign,
        "started_at": record.started_at.isoformat(),
        "stored_at": record.at.isoformat(),
        "day": record.done_on.isoformat(),
        "state": record.state,
        "remark": record.remark,
        "phone": sheet.draft.phone or None,
        "along": _along(sheet),
    }
    worked = (
        sheet.worked
    )  # named only where it was said: a record without it reads as it always did
    return told | ({"worked": worked.to_dict()} if worked else {})


def _task(record: Record) -> dict[str, str] | None:
    task = record.task
    if task is None:
        return None
    return {"due_on": task.due_on.isoformat(), "last_lawful_on": task.last_lawful_on.isoformat()}


def _along(sheet: Sheet) -> list[dict[str, str]]:
    """Voice notes and the drawn signature by their SHA-256, with the words they belong to."""
    words = {
        asked.question.key: ": ".join(
            filter(None, (asked.question.part_label, asked.question.check.question))
        )
        for asked in sheet.asked
    }
    return [each.to_dict() | {"asked": words.get(each.question, "")} for each in sheet.along]


def _answer(asked: Asked) -> str:
    """When it was answered and its photographs belong to this check; all else to the answer."""
    here = {
        "answered_at": canonical(asked.typed.get("at", "")),
        "photographs": canonical(asked.photograph_hashes),
    }
    return canonical_map(asked.judged.texts | here)
