"""Issue the signed report of one or more records."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import Max

from inspections.models import Record, Report, ReportRecord
from inspections.queries import report_content as content_of
from inspections.reports.content import Signature
from inspections.reports.document import Document, document_of
from inspections.reports.keys import Seal, seal_of
from inspections.reports.seal import sealed
from inspections.reports.words import OWN_EXAMINATION
from venue.actions.keep_file import keep_report
from venue.actions.log import write_line
from venue.models import Membership, Person, Venue
from venue.queries.people import LEVELS, Standing, standing_of

TRIES = 5


class MayNotSign(ValueError):
    """The person's competence does not cover these records on the day of signing."""


class CannotReport(ValueError):
    """These records cannot make one report."""


class NumberTaken(Exception):
    """Another report got this number while ours was being made."""


def issue_report(
    *, venue: Venue, records: Sequence[Record], signer: Person, meaning: str, at: datetime
) -> Report:
    """The signed report. Raises MayNotSign, CannotReport, PdfNotMade, KeysUnreadable, SealExpired.

    The number is printed and sealed, so it is chosen before the PDF is made; if somebody else
    takes it meanwhile, the PDF is made again with the next one.
    """
    _check(venue, records, signer, meaning)
    standing = may_sign(venue=venue, records=records, signer=signer, at=at)
    if meaning == OWN_EXAMINATION and any(record.by_id != signer.pk for record in records):
        raise CannotReport(
            "Someone else carried out one of these checks. Choose what your signature means for it."
        )
    seal = venue_seal(venue, at)
    for _ in range(TRIES):
        number = _next_number(venue)
        signature = _signature(venue, signer, standing, meaning, seal, at)
        content = content_of.report_content(venue, records, at, number, signature)
        document = document_of(content, venue.paper, at)
        pdf = sealed(
            document.pdf, seal, name=signer.name, reason=meaning, location=venue.name, at=at
        )
        try:
            return _store(venue, records, signature, signer, number, document, pdf, seal, at)
        except (NumberTaken, IntegrityError):
            continue
    raise CannotReport("Too many reports are being issued at once. Nothing was issued; try again.")


def may_sign(*, venue: Venue, records: Sequence[Record], signer: Person, at: datetime) -> Standing:
    """The competence that covers the most demanding of the records today. Raises MayNotSign."""
    level = max((content_of.level_of(record) for record in records), key=LEVELS.index)
    standing = standing_of(signer, venue, level, at.astimezone(venue.zone).date())
    if not standing.may_sign:
        raise MayNotSign(f"You cannot sign this report. {standing.words}.")
    lapsed = [record for record in records if record.by_id == signer.pk and not record.may_sign]
    if lapsed:
        raise MayNotSign(
            f"You did {lapsed[0]} without a competence that covers it ({lapsed[0].by_competence}). "
            "Somebody whose competence covers it must examine again."
        )
    return standing


def venue_seal(venue: Venue, at: datetime) -> Seal:
    """The venue's seal, made on first use."""
    secret = getattr(settings, "LOFTBOOK_KEY_SECRET", "") or settings.SECRET_KEY
    folder = Path(settings.LOFTBOOK_KEYS)
    return seal_of(folder, venue.slug, venue.name, venue.organisation.name, secret.encode(), at)


def _check(venue: Venue, records: Sequence[Record], signer: Person, meaning: str) -> None:
    if not records:
        raise CannotReport("Choose at least one record to report.")
    if any(record.venue_id != venue.pk for record in records):
        raise CannotReport("These records belong to different venues.")
    if len({record.done_on for record in records}) > 1:
        raise CannotReport("One report tells of one day. Make one report for each day.")
    if not meaning.strip():
        raise CannotReport("Say what your signature means.")
    same = _signed_already(records, signer)
    if same:
        raise CannotReport(f"You have signed a report of exactly these records: number {same}.")


def _signed_already(records: Sequence[Record], signer: Person) -> int | None:
    wanted = {record.pk for record in records}
    reports = Report.objects.filter(signer=signer, report_records__record=records[0])
    for report in reports.prefetch_related("report_records"):
        if {row.record_id for row in report.report_records.all()} == wanted:
            return report.number
    return None


def _next_number(venue: Venue) -> int:
    return (Report.objects.filter(venue=venue).aggregate(last=Max("number"))["last"] or 0) + 1


def _signature(
    venue: Venue, signer: Person, standing: Standing, meaning: str, seal: Seal, at: datetime
) -> Signature:
    membership = Membership.objects.filter(
        person=signer, venue=venue, ended_on__isnull=True
    ).first()
    if membership is None:
        raise MayNotSign(f"You hold no role at {venue.name}, so you cannot sign a report of it.")
    return Signature(
        name=signer.name,
        role=membership.get_role_display(),
        competence=standing.words,
        at=at.astimezone(venue.zone).isoformat(timespec="seconds"),
        meaning=meaning.strip(),
        certificate_sha256=seal.fingerprint,
        root_sha256=seal.root_fingerprint,
    )


@transaction.atomic
def _store(
    venue: Venue,
    records: Sequence[Record],
    signature: Signature,
    signer: Person,
    number: int,
    document: Document,
    pdf: bytes,
    seal: Seal,
    at: datetime,
) -> Report:
    # Looked at again before anything is kept, so that a lost race leaves no file behind.
    if Report.objects.filter(venue=venue, number=number).exists():
        raise NumberTaken
    name = f"{venue.slug}-report-{number}.pdf"
    kept = keep_report(venue=venue, name=name, content=pdf, by=signer, at=at)
    report = Report.objects.create(
        venue=venue,
        number=number,
        what=Report.What.ONE_RECORD if len(records) == 1 else Report.What.DAY,
        title=content_of.title_of(records),
        examined_on=content_of.examined_on(records),
        next_due_on=content_of.next_due_on(records),
        signer=signer,
        signer_name=signer.name,
        signer_role=f"{signature.role}; {signature.competence}"[:200],
        meaning=signature.meaning[:300],
        at=at,
        record_json=document.record_json,
        record_sha256=document.record_sha256,
        kept_file=kept,
    )
    ReportRecord.objects.bulk_create(
        [ReportRecord(report=report, record=record) for record in records]
    )
    after = {
        "number": number,
        "records": [record.pk for record in records],
        "meaning": report.meaning,
        "pdf_sha256": kept.sha256,
        "record_sha256": document.record_sha256,
        "seal_sha256": seal.fingerprint,
    }
    write_line(venue=venue, by=signer, at=at, did="issue_report", subject=report, after=after)
    return report
