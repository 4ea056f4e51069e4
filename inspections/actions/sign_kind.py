"""Sign a report of one of the kinds that have a file: an annual inspection, a certificate, a return."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from inspections import models
from inspections.actions.issue_report import (
    CannotReport,
    MayNotSign,
    Signing,
    may_sign,
    may_sign_at,
    refuse_twice,
    signature_of,
    write_report,
)
from inspections.models import Record
from inspections.queries.report_content import level_of
from inspections.queries.report_kinds.content import kind_content, told_of
from inspections.queries.report_kinds.shapes import Chosen, Told
from inspections.reports.content import Report
from inspections.reports.kind_files import ReportKind, report_kinds
from venue.models import Person
from venue.queries.people import LEVELS, Standing


@dataclass(frozen=True)
class Wanted:
    """A kind of report, of what, and what whoever asks states of items the records are silent on."""

    kind: ReportKind
    chosen: Chosen
    stated: Mapping[str, str] = field(default_factory=dict)


def sign_kind(*, wanted: Wanted, signer: Person, meaning: str, at: datetime) -> Signing:
    """What the report will say, frozen. Raises MayNotSign, CannotReport, KeysUnreadable, SealExpired."""
    kind, venue = wanted.kind, wanted.chosen.venue
    told = told_of(kind, wanted.chosen, at)
    standing = may_sign_kind(kind=kind, told=told, chosen=wanted.chosen, signer=signer, at=at)
    _refuse_meaning(kind, told, signer, meaning)
    signature = signature_of(venue, signer, standing, meaning, at)
    content = kind_content(kind, told, venue, at, wanted.stated, signature)
    _refuse_missing(content)
    signing = Signing(venue, told.records, signer, at, content)
    refuse_twice(signing)
    return signing


def issue_kind(*, wanted: Wanted, signer: Person, meaning: str, at: datetime) -> models.Report:
    """Sign and make the report in one go. Raises what `sign_kind` and `write_report` raise."""
    return write_report(
        signing=sign_kind(wanted=wanted, signer=signer, meaning=meaning, at=at), at=at
    )


def draft_of_kind(*, wanted: Wanted, at: datetime) -> tuple[Report, Told]:
    """The same content without a signature: what is not stated yet is told as that."""
    told = told_of(wanted.kind, wanted.chosen, at)
    return kind_content(wanted.kind, told, wanted.chosen.venue, at, wanted.stated), told


def may_sign_kind(
    *, kind: ReportKind, told: Told, chosen: Chosen, signer: Person, at: datetime
) -> Standing:
    """The competence that covers this report today. Raises MayNotSign."""
    standing = may_sign_at(
        _level_of(kind, told.records),
        venue=chosen.venue,
        records=told.records,
        signer=signer,
        at=at,
    )
    if not kind.meanings and told.examiners != {signer.pk}:
        raise MayNotSign("Only whoever performed this inspection can sign this record of it.")
    return standing


def may_agree(
    *, report: models.Report, records: Sequence[Record], signer: Person, at: datetime
) -> Standing:
    """The competence that covers an issued report today, of whichever kind. Raises MayNotSign."""
    known: dict[str, Any] = {"venue": report.venue, "records": records, "signer": signer, "at": at}
    kind = report_kinds().get(report.what)
    return may_sign_at(_level_of(kind, records), **known) if kind else may_sign(**known)


def _level_of(kind: ReportKind, records: Sequence[Record]) -> str:
    of_records = [level_of(record) for record in records] if kind.level_of_records else []
    return max([kind.level, *of_records], key=LEVELS.index)


def _refuse_meaning(kind: ReportKind, told: Told, signer: Person, meaning: str) -> None:
    if meaning not in kind.all_meanings:
        raise CannotReport("Say what your signature means.")
    if meaning == kind.own and told.examiners != {signer.pk}:
        raise CannotReport(
            "Someone else did a part of what is told here. Choose what your signature means for it."
        )


def _refuse_missing(content: Report) -> None:
    missing = content.matter.missing if content.matter else ()
    if missing:
        named = "; ".join(f"{item.number} {item.words}" for item in missing)
        raise CannotReport(
            f"This report cannot be signed yet. The law asks for what nobody has stated: {named}."
        )
