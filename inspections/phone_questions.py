"""The questions of a check as a phone needs them to judge without signal. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inspections.answers import Question
from inspections.judging import bad_state


def questions_for_phone(questions: Sequence[Question]) -> list[dict[str, Any]]:
    """JSON-safe: exact figures are text, so that no reader can round them."""
    return [_question(question) for question in questions]


def _question(question: Question) -> dict[str, Any]:
    check = question.check
    return {
        "key": question.key,
        "answer": check.answer,
        "choices": check.choices,
        "dimension": check.dimension,
        "usual_unit": question.usual_unit,
        "signed": check.minimum is not None and check.minimum.si < 0,
        "minimum": check.minimum.stored() if check.minimum else None,
        "maximum": check.maximum.stored() if check.maximum else None,
        "limit_not_known": bool(check.limit_text or check.limits_from),
        "source": check.source.document,
        "clause": check.source.clause,
        "yes_means_good": check.yes_means_good,
        "bad_state": bad_state(check),
        "photo_needed": check.photo == "required" or check.answer == "photo",
        "rope": question.rope.to_dict() if question.rope else None,
        "before": _before(question),
        "expected": str(question.expected) if question.expected else None,
    }


def _before(question: Question) -> dict[str, Any] | None:
    before = question.before
    return {"quantity": before.quantity.stored(), "day": before.day} if before else None
