"""The short certification records of United States rules: a date, a signature, identifiers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from inspections.models import Record
from inspections.queries.report_content import next_due_on, sheets_of
from inspections.queries.report_kinds.checks_done import body_answers, orders_fact
from inspections.queries.report_kinds.shapes import Chosen, Told, blank_matter, day_words
from inspections.queries.report_kinds.thorough import identity_words
from inspections.reports.kind_files import ReportKind
from inspections.reports.matter import Fact
from venue.models import Part


def build(kind: ReportKind, chosen: Chosen, at: datetime) -> Told:
    assert chosen.record is not None  # the form and the action made sure
    record = chosen.record
    said = {
        "date": day_words(record.done_on),
        "identity": identity_words(record.equipment),
        "identifiers": "\n".join(_identifier(part) for part in _inspected(kind, record)),
        "employees": _watched(record),
    }
    facts = (
        Fact("Equipment", str(record.equipment)),
        Fact("Check", record.version.title),
        Fact("Made by", f"{record.by_name}, {record.by_competence}"),
        orders_fact(record.equipment),
    )
    return Told(
        title=f"{record.equipment.tag}: {kind.name.lower()}, {day_words(record.done_on)}"[:200],
        records=[record], examined_on=record.done_on, next_due=next_due_on([record]),
        examiners=frozenset({record.by_id}), matter=replace(blank_matter(kind), facts=facts),
        sheets=sheets_of(chosen.venue, [record], at), said=said,
    )  # fmt: skip


def _inspected(kind: ReportKind, record: Record) -> Sequence[Part]:
    """The parts of the kind that the record looked at: one that could not be seen was not
    inspected, and is not certified."""
    answers = record.answers.filter(part__kind__in=kind.part_kinds)
    unseen = answers.filter(given="could_not_look").values("part")
    seen = answers.filter(given__in=("yes", "no", "value")).exclude(part__in=unseen)
    rows = Part.objects.filter(pk__in=seen.values("part")).select_related("equipment")
    return list(rows.order_by("walking_order", "code"))


def _identifier(part: Part) -> str:
    """The thing's own identifier where it is known, and always where it hangs."""
    where = f"{part.equipment.tag}, {part}"
    return f"{part.identifier} ({where})" if part.identifier else where


def _watched(record: Record) -> str:
    """Who was watched, as the check of a lock-out asks."""
    said = [each for each in body_answers(record) if each["check"] == "watched_whom"]
    return str(said[0].get("text") or "").strip() if said else ""
