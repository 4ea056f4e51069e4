"""What a report of some records says. Reads only; the records' frozen bodies speak for themselves."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from itertools import count

from inspections.along import drawn_in, read_along
from inspections.models import Finding, Record, Task
from inspections.queries.equipment import kind_label
from inspections.queries.signatures import signing_of
from inspections.reports import content, words
from inspections.reports.record_reading import (
    answers_of,
    drawn_signature_of,
    quantity_words,
    undecided_of,
    voice_notes_of,
)
from rigging.calculators.showing import answer_pieces
from rigging.models import CalculationKept
from rigging.queries.calculations import calculations_of_day
from venue.language_now import language_of_papers
from venue.models import Competence, Equipment, KeptFile, LogHead, Venue


def report_content(
    venue: Venue,
    records: Sequence[Record],
    at: datetime,
    number: int | None = None,
    signature: content.Signature | None = None,
) -> content.Report:
    """The whole content, in walking order. Without a number and a signature it is a draft."""
    due = next_due_on(records)
    return content.Report(
        number="" if number is None else str(number),
        what="one record" if len(records) == 1 else "inspection day",
        title=title_of(records),
        language=language_of_papers(venue),
        organisation=content.Party(venue.organisation.name, venue.organisation.address),
        venue=content.Party(venue.name, venue.address),
        time_zone=venue.time_zone,
        examined_on=examined_on(records).isoformat(),
        reported_at=local_time(at, venue),
        next_due=due.isoformat() if due else "",
        sheets=sheets_of(venue, records, at),
        cautions=words.CAUTIONS,
        signature=signature,
        log=log_head_of(venue),
    )


def sheets_of(venue: Venue, records: Sequence[Record], at: datetime) -> tuple[content.Sheet, ...]:
    numbers = count(1)
    return tuple(_sheet(venue, record, at, numbers) for record in in_walking_order(records))


def level_of(record: Record) -> str:
    """Who may do this check, by the regime as it was frozen on the day."""
    return str(tomllib.loads(record.version.body)["level"])


def in_walking_order(records: Sequence[Record]) -> list[Record]:
    return sorted(
        records,
        key=lambda record: (record.equipment.walking_order, record.equipment.tag, record.at),
    )


def title_of(records: Sequence[Record]) -> str:
    if len(records) == 1:
        record = records[0]
        return f"{record.equipment.tag} {record.equipment.name}: {record.version.title}"[:200]
    return f"Inspection day {examined_on(records):%-d %B %Y}, {len(records)} checks"


def examined_on(records: Sequence[Record]) -> date:
    return max(record.done_on for record in records)


def next_due_on(records: Sequence[Record]) -> date | None:
    """The earliest open task of the same regimes on the same equipment."""
    days = [day for record in records if (day := next_due_of(record))]
    return min(days, default=None)


def pictures_of(venue: Venue, records: Sequence[Record]) -> dict[str, tuple[str, str]]:
    """Original SHA-256 -> (name, SHA-256 of the copy that is shown), for every picture named."""
    named = {sha256 for record in records for sha256 in _photographs(record)}
    rows = KeptFile.objects.in_venue(venue).filter(sha256__in=named).order_by("pk")
    return {kept.sha256: (kept.name, kept.shown_sha256) for kept in rows}


def _photographs(record: Record) -> list[str]:
    body = json.loads(record.body)
    drawn = [drawn_in(read_along(body.get("along")))]
    return drawn + [sha256 for said in body["answers"] for sha256 in said.get("photographs", ())]


def _sheet(venue: Venue, record: Record, at: datetime, numbers: Iterator[int]) -> content.Sheet:
    body, pictures = json.loads(record.body), pictures_of(venue, [record])
    answers = answers_of(body, pictures, numbers)
    due = next_due_of(record)
    signing = signing_of(record)
    calculations = calculations_of_day(record.equipment, record.done_on, at)
    return content.Sheet(
        record=str(record.pk),
        record_sha256=record.sha256,
        record_body=record.body,
        equipment=_equipment(record.equipment),
        regime=record.version.title,
        regime_sha256=record.version.hash,
        level=Competence.Level(level_of(record)).label,
        by=record.by_name,
        role=record.by_role,
        competence=record.by_competence,
        could_sign=record.may_sign,
        started=local_time(record.started_at, venue),
        finished=local_time(record.at, venue),
        day=record.done_on.isoformat(),
        state=record.state,
        remark=record.remark,
        amends=str(record.amends_id or ""),
        amended_by=tuple(
            f"{later.pk} of {later.done_on}" for later in record.amended_by.order_by("at")
        ),
        answers=answers,
        findings=tuple(_finding(finding, venue, at) for finding in _findings(record)),
        next_due=due.isoformat() if due else "",
        undecided=undecided_of(answers),
        signed=tuple(str(line) for line in signing.lines),
        signed_means=signing.meanings,
        voice_notes=voice_notes_of(body),
        drawn_signature=drawn_signature_of(body, pictures),
        calculations=tuple(
            f"{kept.line} Worked out for: {kept.row.why} ({kept.row.by_name}, "
            f"{local_time(kept.row.at, venue)})"
            for kept in calculations
        ),
        worked_out=tuple(_worked_out(kept.row, venue) for kept in calculations),
    )


def _worked_out(kept: CalculationKept, venue: Venue) -> content.WorkedOut:
    return content.WorkedOut(
        title=kept.said["title"], pieces=answer_pieces(kept.said), why=kept.why, by=kept.by_name,
        at=local_time(kept.at, venue),
    )  # fmt: skip


def _equipment(equipment: Equipment) -> content.Equipment:
    return content.Equipment(
        tag=equipment.tag,
        name=equipment.name,
        kind=kind_label(equipment.kind, equipment.venue).replace("_", " "),
        place=place_words(equipment.place),
        serial=equipment.serial or words.UNKNOWN,
        made_on=equipment.made_on or words.UNKNOWN,
        standing=equipment.get_standing_display(),
        rated_loads=tuple(
            content.RatedLoad(
                load.purpose.replace("_", " "), quantity_words(load.quantity), load.source
            )
            for load in equipment.rated_loads.all()
        ),
    )


def place_words(place) -> str:
    names = []
    while place is not None:
        names.append(place.name)
        place = place.parent
    return ", ".join(reversed(names))


def _findings(record: Record):
    return record.findings.select_related("part", "by").order_by("at", "pk")


def _finding(finding: Finding, venue: Venue, at: datetime) -> content.Finding:
    return content.Finding(
        what=finding.what,
        part=str(finding.part or ""),
        detail=finding.detail,
        grade=finding.get_grade_display(),
        cured_by=finding.cured_by.isoformat() if finding.cured_by else "",
        restriction=finding.restriction,
        by=finding.by.name,
        at=local_time(finding.at, venue),
        remedies=tuple(
            f"{remedy.what} ({remedy.by.name}, {local_time(remedy.at, venue)})"
            for remedy in finding.remedies.filter(at__lte=at).select_related("by")
        ),
        orders=tuple(_order(order, venue) for order in finding.orders.order_by("at", "pk")),
    )


def _order(order, venue: Venue) -> content.Order:
    returned = getattr(order, "returned", None)
    lifted = f"{returned.by_name}, {local_time(returned.at, venue)}" if returned else ""
    return content.Order(
        order.get_what_display(), order.why, order.restriction, order.bites_on.isoformat(), lifted
    )


def next_due_of(record: Record) -> date | None:
    return (
        Task.objects.filter(
            equipment_id=record.equipment_id,
            plan__regime=record.version.slug,
            state=Task.State.OPEN,
        )
        .order_by("due_on")
        .values_list("due_on", flat=True)
        .first()
    )


def log_head_of(venue: Venue) -> content.LogHead:
    head = LogHead.objects.filter(venue=venue).first()
    return content.LogHead(str(head.size), head.root) if head else content.LogHead("0")


def local_time(at: datetime, venue: Venue) -> str:
    return at.astimezone(venue.zone).isoformat(timespec="seconds")
