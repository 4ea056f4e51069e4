"""Store the answers of a record with readings, judgements and what follows from them: one statement
for each kind of row, however many there are. Runs inside the transaction of `submit_check`."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from inspections.actions.open_finding import open_finding
from inspections.consequences import STATES, consequence_of
from inspections.models import Answer, AnswerPhoto, Judged, Reading, Record
from inspections.queries.checks import Asked, Sheet, judgement_words
from rigging.engine import Judgement
from rigging.models import RopeObserved
from venue.actions.log import Deed
from venue.models import Person


def store_answers(record: Record, sheet: Sheet, by: Person, at: datetime, day: date) -> list[Deed]:
    """What the log has to say of the findings and orders that followed."""
    observed = _observations(sheet, by, at)
    answers = Answer.objects.bulk_create(
        [
            _answer(record, order, asked, observed.get(asked.question.key))
            for order, asked in enumerate(sheet.asked, 1)
        ]
    )
    stored = list(zip(answers, sheet.asked, strict=True))
    Reading.objects.bulk_create(
        [
            Reading(answer_id=answer.pk, **told)
            for answer, asked in stored
            for told in asked.judged.readings_told
        ]
    )
    Judged.objects.bulk_create(
        [_judged(answer, told) for answer, asked in stored for told in asked.judged.judgements_told]
    )
    AnswerPhoto.objects.bulk_create(
        [
            AnswerPhoto(answer=answer, kept_file=photo.kept_file)
            for answer, asked in stored
            for photo in asked.photos
        ]
    )
    return [deed for pair in stored for deed in _consequence(record, *pair, by, at, day)]


def _observations(sheet: Sheet, by: Person, at: datetime) -> dict[str, RopeObserved]:
    """The ropes as observed, by question."""
    rows = {
        asked.question.key: RopeObserved(
            part_id=asked.question.part_id, by=by, at=at,
            rope=asked.judged.rope_told or {}, body=asked.judged.observation_told,
        )
        for asked in sheet.asked
        if asked.read.observation is not None and asked.question.part_id
    }  # fmt: skip
    RopeObserved.objects.bulk_create(rows.values())
    return rows


def _answer(record: Record, order: int, asked: Asked, observation: RopeObserved | None) -> Answer:
    question, read = asked.question, asked.read
    return Answer(
        record_id=record.pk, order=order, check_slug=question.check.slug, question=question.check.question[:300],
        part_id=question.part_id, given=read.given, text=read.text, reason=read.reason, observation=observation,
    )  # fmt: skip


def _judged(answer: Answer, body: dict[str, Any]) -> Judged:
    return Judged(
        answer_id=answer.pk,
        state=body["state"],
        verdict=body["verdict"],
        ruleset=body["ruleset"],
        edition=(body.get("edition") or "")[:200],
        ruleset_hash=body.get("hash") or "",
        clause=(body.get("clause") or "")[:200],
        value=(body.get("value") or "")[:120],
        limit=(body.get("limit") or "")[:200],
        margin=(body.get("margin") or "")[:120],
        missing=body.get("missing") or [],
        body=body,
    )


def _consequence(
    record: Record, answer: Answer, asked: Asked, by: Person, at: datetime, day: date
) -> list[Deed]:
    check = asked.question.check
    follows = consequence_of(check, asked.state, asked.read.grade, day)
    if follows is None:
        return []
    _, deeds = open_finding(
        equipment=record.equipment, part=answer.part, record=record, answer=answer,
        what=_what(asked), detail=_detail(asked), follows=follows, by=by, at=at,
    )  # fmt: skip
    return deeds


def _what(asked: Asked) -> str:
    """The finding in one line: what was asked and what was found, or the rule that decided it."""
    words = asked.question.check.question
    if asked.read.given in ("yes", "no"):
        words = f"{words} {asked.read.given.title()}."
    if asked.judgements:
        decided = max(asked.judgements, key=lambda one: STATES.index(one.state))
        # A rule's words say what it is about; those of a limit only that it was not kept.
        about = words if decided.ruleset == "limit" else f"{decided.words}:"
        words = f"{about} {_figures(decided)}"
    label = asked.question.part_label
    return f"{label}: {words}" if label else words


def _figures(judgement: Judgement) -> str:
    cited = ", ".join(text for text in (judgement.title, judgement.clause) if text)
    return f"{judgement.value}, limit {judgement.limit} ({cited})"


def _detail(asked: Asked) -> str:
    """Why, in words: each judgement that is not fit, the answer's own text, the regime's note."""
    lines = [judgement_words(one) for one in asked.judgements if one.state != "fit"]
    lines += [
        text
        for text in (asked.read.text, asked.read.reason, asked.question.check.fail_note)
        if text
    ]
    return "\n".join(lines)
