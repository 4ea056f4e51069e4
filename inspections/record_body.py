"""Everything a record says, as one JSON text that never changes: questions as asked, answers as
typed, readings, every judgement with its rule set's hash, photographs, voice notes and a drawn signature by
their SHA-256."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from inspections.answers import Measured
    from inspections.models import Record
    from inspections.queries.checks import Asked, Sheet


def record_body(record: Record, sheet: Sheet) -> dict[str, Any]:
    equipment = record.equipment
    return {
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
        "answers": [_answer(asked) for asked in sheet.asked],
    }


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


def _answer(asked: Asked) -> dict[str, Any]:
    question, answer = asked.question, asked.read
    return {
        "check": question.check.slug,
        "question": question.check.question,
        "part": question.part_label,
        "given": answer.given,
        "text": answer.text,
        "reason": answer.reason,
        "answered_at": asked.typed.get("at", ""),
        "readings": [_reading(measured) for measured in answer.measured],
        "rope": question.rope.to_dict() if question.rope else None,
        "observation": answer.observation.to_dict() if answer.observation else None,
        "judgements": asked.told,
        "state": asked.state,
        "photographs": asked.photograph_hashes,
    }


def _reading(measured: Measured) -> dict[str, Any]:
    return {
        "what": measured.what,
        "quantity": measured.quantity.stored(),
        "instrument": measured.instrument,
        "uncertainty": measured.uncertainty.stored() if measured.uncertainty else None,
    }
