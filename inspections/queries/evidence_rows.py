"""The rows of a bundle's tables, one at a time: a decade of readings never sits in memory."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import Any, NamedTuple

from django.db.models import QuerySet

from inspections.models import Record, Task
from inspections.queries import evidence
from inspections.queries.evidence import Span
from inspections.queries.isolation_rows import HEADING as ISOLATION_HEADING
from inspections.queries.isolation_rows import isolation_rows
from inspections.queries.question_rows import (
    ANSWER_HEADING,
    QUESTION_HEADING,
    answer_rows,
    question_rows,
)
from inspections.queries.retired_part_rows import HEADING as RETIRED_HEADING
from inspections.queries.retired_part_rows import retired_part_rows
from venue.log_hash import sha256_of
from venue.models import LogLine, Part
from venue.quantities import UNITS
from venue.queries.people import LEVEL_WORDS, LEVELS

AT_ONCE = 1000
Row = Sequence[Any]


class Table(NamedTuple):
    """A table of the bundle. `tally`: the column whose words are counted for completeness."""

    heading: tuple[str, ...]
    rows: Callable[[Span, date], Iterator[Row]]
    tally: str = ""


def outcome_of(task: Task, today: date) -> str:
    """How a task came out, seen from today."""
    if task.state == Task.State.CANCELLED:
        return "cancelled"
    if task.state == Task.State.DONE:
        in_time = task.done_on is not None and task.done_on <= task.last_lawful_on
        return "done in time" if in_time else "done late"
    return "missed, still open" if task.last_lawful_on < today else "open"


def _each(rows: QuerySet, *related: str) -> Iterator[Any]:
    return rows.select_related(*related).iterator(chunk_size=AT_ONCE)


def _task_rows(span: Span, today: date) -> Iterator[Row]:
    for task in _each(evidence.tasks(span), "plan__version", "equipment", "person"):
        yield (
            task.pk, task.equipment.tag, task.plan.version.title, task.plan.regime,
            task.plan.level, task.plan.interval, task.number, task.due_on, task.planned_on,
            task.last_lawful_on, outcome_of(task, today), task.done_on,
            "yes" if task.deferred_why else "no", task.deferred_why, task.closed_why,
            task.person.name if task.person else "",
        )  # fmt: skip


def _competence_rows(span: Span, today: date) -> Iterator[Row]:
    """Of a person and a certificate only what the log says: references, behind which the names are
    where they are given."""
    lines = LogLine.objects.in_venue(span.venue).filter(did="add_competence")
    written = {line.subject.split()[-1]: line for line in lines}
    for row in _each(evidence.competences(span)):
        line = written.get(str(row.pk))
        after = json.loads(line.body)["after"] if line else {}
        levels = LEVELS[: LEVELS.index(row.level) + 1]
        yield (
            row.pk, line.label.rsplit(": ", 1)[0] if line else "", row.level,
            "; ".join(LEVEL_WORDS[level] for level in levels), row.valid_from, row.expires_on,
            after.get("certificate", ""), after.get("issued_by", ""),
            line.by_name if line else "", line.number if line else "",
        )  # fmt: skip


def _record_rows(span: Span, today: date) -> Iterator[Row]:
    rows = evidence.records(span).defer("body")
    rows = rows.prefetch_related("amended_by", "sent__signatures")
    for record in _each(rows, "equipment", "version"):
        later = [str(each.pk) for each in record.amended_by.all()]
        yield (
            record.pk, record.sha256, record.equipment.tag, record.equipment.name,
            record.version.title, record.version.hash, record.task_id, record.by_name,
            record.by_role, record.by_competence, "yes" if record.may_sign else "no",
            record.started_at.isoformat(), record.at.isoformat(), record.done_on, record.state,
            record.remark, record.amends_id, " ".join(later), _signed(record),
        )  # fmt: skip


def _signed(record: Record) -> str:
    sent = getattr(record, "sent", None)
    hows = {row.how for row in sent.signatures.all()} if sent else set()
    return " and ".join(sorted(hows)) or "nobody"


def _signature_rows(span: Span, today: date) -> Iterator[Row]:
    for row in _each(evidence.signatures(span), "sent", "by"):
        asked = ("yes" if row.person_verified else "no") if row.public_key else ""
        yield (
            row.pk, row.sent.record_id, row.by.name, row.how, row.passkey, row.algorithm, asked,
            row.received_at.isoformat(), row.sent.sha256,
            sha256_of(row.public_key) if row.public_key else "",
        )  # fmt: skip


def _answer_rows(span: Span, today: date) -> Iterator[Row]:
    for answer in _each(evidence.answers(span), "part"):
        yield (
            answer.record_id, answer.order, answer.check_slug, answer.question,
            _part_words(answer.part), answer.given, answer.text, answer.reason,
        )  # fmt: skip


def _reading_rows(span: Span, today: date) -> Iterator[Row]:
    for reading in _each(evidence.readings(span), "answer__part"):
        quantity, unsure = reading.quantity, reading.uncertainty or {}
        unit = UNITS.get(quantity["unit"])
        yield (
            reading.answer.record_id, reading.answer.order, reading.answer.question,
            _part_words(reading.answer.part), reading.what, quantity["typed"], quantity["value"],
            quantity["unit"], unit.ucum if unit else "", quantity["dimension"], quantity["si"],
            reading.instrument, unsure.get("typed", ""), unsure.get("si", ""),
        )  # fmt: skip


def _judgement_rows(span: Span, today: date) -> Iterator[Row]:
    for judged in _each(evidence.judgements(span), "answer__part"):
        yield (
            judged.answer.record_id, judged.answer.order, judged.answer.question,
            _part_words(judged.answer.part), judged.state, judged.verdict, judged.ruleset,
            judged.body.get("title", ""), judged.edition, judged.ruleset_hash, judged.clause,
            judged.value, judged.limit, judged.margin, "; ".join(judged.missing),
            judged.body.get("verified", ""),
        )  # fmt: skip


def _finding_rows(span: Span, today: date) -> Iterator[Row]:
    for finding in _each(evidence.findings(span), "equipment", "part", "by"):
        yield (
            finding.pk, finding.at.isoformat(), finding.equipment.tag, _part_words(finding.part),
            finding.record_id, finding.grade, finding.what, finding.detail, finding.cured_by,
            finding.restriction, finding.by.name,
        )  # fmt: skip


def _order_rows(span: Span, today: date) -> Iterator[Row]:
    for order in _each(evidence.orders(span), "equipment", "by", "returned"):
        returned = getattr(order, "returned", None)
        yield (
            order.pk, order.finding_id, order.at.isoformat(), order.equipment.tag, order.what,
            order.why, order.restriction, order.bites_on, order.by.name,
            returned.at.isoformat() if returned else "",
        )  # fmt: skip


def _remedy_rows(span: Span, today: date) -> Iterator[Row]:
    for remedy in _each(evidence.remedies(span), "by"):
        yield remedy.pk, remedy.finding_id, remedy.at.isoformat(), remedy.what, remedy.by.name


def _return_rows(span: Span, today: date) -> Iterator[Row]:
    for row in _each(evidence.returns(span), "remedied_by"):
        yield (
            row.pk, row.order_id, row.remedy_id, row.at.isoformat(), row.by_name,
            row.by_competence, row.remedied_by.name, row.statement,
        )  # fmt: skip


def _report_rows(span: Span, today: date) -> Iterator[Row]:
    rows = evidence.reports(span).defer("record_json").prefetch_related("report_records")
    for report in _each(rows, "kept_file"):
        told = sorted(str(row.record_id) for row in report.report_records.all())
        yield (
            report.number, report.what, report.title, report.examined_on, report.at.isoformat(),
            report.next_due_on, report.signer_name, report.signer_role, report.meaning,
            report.record_sha256, report.kept_file.sha256, f"reports/report-{report.number}.pdf",
            " ".join(told),
        )  # fmt: skip


def _countersignature_rows(span: Span, today: date) -> Iterator[Row]:
    for row in _each(evidence.countersignatures(span), "report", "kept_file"):
        yield (
            row.pk, row.report.number, row.number, row.at.isoformat(), row.signer_name,
            row.signer_role, row.meaning, row.kept_file.sha256,
            f"reports/report-{row.report.number}-countersigned-{row.number}.pdf",
        )  # fmt: skip


def _photograph_rows(span: Span, today: date) -> Iterator[Row]:
    for photo in _each(evidence.answer_photographs(span), "kept_file", "answer__part"):
        answer, kept = photo.answer, photo.kept_file
        yield (
            answer.record_id, answer.order, answer.question, _part_words(answer.part), "",
            kept.name, kept.sha256, kept.shown_sha256,
        )  # fmt: skip
    for row in _each(evidence.remedy_photographs(span), "kept_file"):
        kept = row.kept_file
        yield "", "", "", "", row.remedy_id, kept.name, kept.sha256, kept.shown_sha256


def _check_file_rows(span: Span, today: date) -> Iterator[Row]:
    for row in _each(evidence.check_files(span), "kept_file", "by"):
        yield (
            row.check_id, row.what, row.question, row.by.name, row.received_at.isoformat(),
            row.kept_file.media_type, row.kept_file.size, row.sha256,
        )  # fmt: skip


def _kept_aside_rows(span: Span, today: date) -> Iterator[Row]:
    for row in _each(evidence.kept_aside(span).defer("body"), "by"):
        yield (
            row.pk, row.message_id, row.by.name, row.received_at.isoformat(), row.why, row.sha256,
        )  # fmt: skip


def _part_words(part: Part | None) -> str:
    return f"{part.code}, {part.name}" if part else ""


TABLES = {
    "competences": Table(
        ("competence", "person", "level", "good for the work of", "valid from", "valid until",
         "certificate", "issued by", "written down by", "log line"),
        _competence_rows, "level",
    ),
    "retired_parts": Table(RETIRED_HEADING, retired_part_rows, "kind"),
    "tasks": Table(
        ("task", "equipment", "regime", "regime slug", "level", "interval", "number", "due on",
         "planned on", "last lawful on", "outcome", "done on", "put off", "put off because",
         "closed because", "person"),
        _task_rows, "outcome",
    ),
    "records": Table(
        ("record", "sha256", "equipment", "equipment name", "regime", "regime sha256", "task",
         "by", "role", "competence that day", "could sign", "begun", "stored", "day", "state",
         "remark", "amends", "amended by", "signed"),
        _record_rows, "state",
    ),
    "signatures": Table(
        ("signature", "record", "by", "how", "passkey", "algorithm", "device asked who it was",
         "arrived", "message sha256", "public key pem sha256"),
        _signature_rows, "how",
    ),
    "answers": Table(
        ("record", "order", "check", "question", "part", "given", "text", "reason"),
        _answer_rows, "given",
    ),
    "readings": Table(
        ("record", "order", "question", "part", "what", "as typed", "value", "unit", "ucum",
         "dimension", "si exact", "instrument", "uncertainty as typed", "uncertainty si exact"),
        _reading_rows,
    ),
    "judgements": Table(
        ("record", "order", "question", "part", "state", "verdict", "rule set", "title",
         "edition", "rule set sha256", "clause", "value", "limit", "margin", "missing",
         "figure verified by"),
        _judgement_rows, "state",
    ),
    "findings": Table(
        ("finding", "at", "equipment", "part", "record", "grade", "what", "detail", "cured by",
         "restriction", "by"),
        _finding_rows, "grade",
    ),
    "orders": Table(
        ("order", "finding", "at", "equipment", "what", "why", "restriction", "bites on", "by",
         "lifted at"),
        _order_rows, "what",
    ),
    "remedies": Table(("remedy", "finding", "at", "what", "by"), _remedy_rows),
    "returns": Table(
        ("return", "order", "remedy", "at", "by", "competence", "remedied by", "statement"),
        _return_rows,
    ),
    "reports": Table(
        ("number", "kind", "title", "examined on", "signed at", "next due on", "signer", "role",
         "meaning", "record.json sha256", "pdf sha256", "file", "records"),
        _report_rows,
    ),
    "countersignatures": Table(
        ("countersignature", "report", "number", "signed at", "signer", "role", "meaning",
         "pdf sha256", "file"),
        _countersignature_rows,
    ),
    "photographs": Table(
        ("record", "order", "question", "part", "remedy", "name", "original sha256",
         "shown sha256"),
        _photograph_rows,
    ),
    "voice_notes_and_drawn_signatures": Table(
        ("record", "what", "check", "by", "received", "media type", "bytes", "sha256"),
        _check_file_rows,
    ),
    "messages_kept_aside": Table(
        ("number in the book", "message", "sent by", "received", "why", "sha256"), _kept_aside_rows
    ),
    "isolations": Table(ISOLATION_HEADING, isolation_rows, "standing"),
    "auditors_questions": Table(QUESTION_HEADING, question_rows, "state"),
    "answers_to_auditors": Table(ANSWER_HEADING, answer_rows),
}  # fmt: skip

TALLIES = {name: table.tally for name, table in TABLES.items() if table.tally}
