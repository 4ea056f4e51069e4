"""Issue the signed report of one or more records."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Max

from inspections import models
from inspections.actions.sign_head import sign_head
from inspections.actions.venue_seal import time_stamp_authority, venue_seal
from inspections.models import Record
from inspections.queries import report_content as content_of
from inspections.reports.content import Report, Signature
from inspections.reports.document import Document, document_of
from inspections.reports.keys import Seal
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


@dataclass(frozen=True)
class Signing:
    """What somebody signed, and when. The content has no number yet: that is given at the end."""

    venue: Venue
    records: Sequence[Record]
    signer: Person
    at: datetime
    content: Report

    @property
    def what(self) -> str:
        if self.content.matter:
            return self.content.matter.kind
        return models.Report.ONE_RECORD if len(self.records) == 1 else models.Report.DAY

    @property
    def meaning(self) -> str:
        return self.signature.meaning

    @property
    def signature(self) -> Signature:
        if self.content.signature is None:
            raise CannotReport("This is a draft: nobody has signed it.")
        return self.content.signature


def issue_report(
    *, venue: Venue, records: Sequence[Record], signer: Person, meaning: str, at: datetime
) -> models.Report:
    """Sign and make the report in one go. Raises what `sign` and `write_report` raise."""
    signing = sign(venue=venue, records=records, signer=signer, meaning=meaning, at=at)
    return write_report(signing=signing, at=at)


def sign(
    *, venue: Venue, records: Sequence[Record], signer: Person, meaning: str, at: datetime
) -> Signing:
    """What the report will say, frozen. Raises MayNotSign, CannotReport, KeysUnreadable, SealExpired."""
    _check(venue, records, meaning)
    standing = may_sign(venue=venue, records=records, signer=signer, at=at)
    if meaning == OWN_EXAMINATION and any(record.by_id != signer.pk for record in records):
        raise CannotReport(
            "Someone else carried out one of these checks. Choose what your signature means for it."
        )
    signature = signature_of(venue, signer, standing, meaning, at)
    content = content_of.report_content(venue, records, at, signature=signature)
    signing = Signing(venue, records, signer, at, content)
    refuse_twice(signing)
    return signing


def write_report(
    *, signing: Signing, at: datetime, with_it: Callable[[int], None] | None = None
) -> models.Report:
    """The signed report. Raises CannotReport, PdfNotMade, KeysUnreadable, SealExpired, NotStamped.

    The number is printed and sealed, so it is chosen before the PDF is made; if somebody else
    takes it meanwhile, the PDF is made again with the next one. `with_it` is told the number in the
    transaction that keeps the report.
    """
    refuse_twice(signing)
    seal = venue_seal(signing.venue, at)
    if seal.fingerprint != signing.signature.certificate_sha256:
        raise CannotReport("The venue's seal was changed since this was signed. Sign it again.")
    for _ in range(TRIES):
        number = _next_number(signing.venue)
        document, pdf = _made(signing, number, seal)
        try:
            return _store(signing, number, document, pdf, at, seal, with_it)
        except (NumberTaken, IntegrityError):
            continue
    raise CannotReport("Too many reports are being issued at once. Nothing was issued; try again.")


def _made(signing: Signing, number: int, seal: Seal) -> tuple[Document, bytes]:
    """Every time in it is that of the signing, however long the making takes."""
    content = replace(signing.content, number=str(number))
    document = document_of(content, signing.venue.paper, signing.at)
    pdf = sealed(
        document.pdf,
        seal,
        name=signing.signer.name,
        reason=signing.meaning,
        location=signing.venue.name,
        at=signing.at,
        authority=time_stamp_authority(),
    )
    return document, pdf


def may_sign(*, venue: Venue, records: Sequence[Record], signer: Person, at: datetime) -> Standing:
    """The competence that covers the most demanding of the records today. Raises MayNotSign."""
    level = max((content_of.level_of(record) for record in records), key=LEVELS.index)
    return may_sign_at(level, venue=venue, records=records, signer=signer, at=at)


def may_sign_at(
    level: str, *, venue: Venue, records: Sequence[Record], signer: Person, at: datetime
) -> Standing:
    """The competence that covers a level today. Raises MayNotSign."""
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


def _check(venue: Venue, records: Sequence[Record], meaning: str) -> None:
    if not records:
        raise CannotReport("Choose at least one record to report.")
    if any(record.venue_id != venue.pk for record in records):
        raise CannotReport("These records belong to different venues.")
    if len({record.done_on for record in records}) > 1:
        raise CannotReport("One report tells of one day. Make one report for each day.")
    if not meaning.strip():
        raise CannotReport("Say what your signature means.")


def refuse_twice(signing: Signing) -> None:
    """A report of checks is signed once. One of a kind tells of more than records, which goes on:
    it is signed once a day. Raises CannotReport."""
    rows = models.Report.objects.filter(
        venue=signing.venue, signer=signing.signer, what=signing.what
    )
    same = "of exactly these records"
    if signing.content.matter:
        day = signing.at.astimezone(signing.venue.zone).replace(hour=0, minute=0, second=0)
        rows = rows.filter(title=signing.content.title, at__gte=day)
        same = "of exactly this today"
    wanted = {record.pk for record in signing.records}
    for report in rows.prefetch_related("report_records"):
        if {row.record_id for row in report.report_records.all()} == wanted:
            raise CannotReport(f"You have signed a report {same}: number {report.number}.")


def _next_number(venue: Venue) -> int:
    return (
        models.Report.objects.filter(venue=venue).aggregate(last=Max("number"))["last"] or 0
    ) + 1


def signature_of(
    venue: Venue, signer: Person, standing: Standing, meaning: str, at: datetime
) -> Signature:
    """Who signs, as what, and under which seal. Raises MayNotSign, KeysUnreadable, SealExpired."""
    seal = venue_seal(venue, at)
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
    signing: Signing,
    number: int,
    document: Document,
    pdf: bytes,
    at: datetime,
    seal: Seal,
    with_it: Callable[[int], None] | None,
) -> models.Report:
    # Looked at again before anything is kept, so that a lost race leaves no file behind.
    if models.Report.objects.filter(venue=signing.venue, number=number).exists():
        raise NumberTaken
    if with_it:
        with_it(number)
    venue, signer = signing.venue, signing.signer
    name = f"{venue.slug}-report-{number}.pdf"
    kept = keep_report(venue=venue, name=name, content=pdf, by=signer, at=at)
    report = models.Report.objects.create(
        number=number,
        record_json=document.record_json,
        record_sha256=document.record_sha256,
        kept_file=kept,
        **_told(signing),
    )
    models.ReportRecord.objects.bulk_create(
        [models.ReportRecord(report=report, record=record) for record in signing.records]
    )
    after = {
        "number": number,
        "records": [record.pk for record in signing.records],
        "meaning": report.meaning,
        "signed": signing.at,
        "pdf_sha256": kept.sha256,
        "record_sha256": document.record_sha256,
        "seal_sha256": signing.signature.certificate_sha256,
    }
    write_line(venue=venue, by=signer, at=at, did="issue_report", subject=report, after=after)
    sign_head(venue=venue, seal=seal, at=at)
    return report


def _told(signing: Signing) -> dict[str, Any]:
    """What the row says of the report, as it was signed."""
    content, signature = signing.content, signing.signature
    return {
        "venue": signing.venue,
        "what": signing.what,
        "title": content.title,
        "examined_on": date.fromisoformat(content.examined_on),
        "next_due_on": date.fromisoformat(content.next_due) if content.next_due else None,
        "signer": signing.signer,
        "signer_name": signature.name,
        "signer_role": signature.standing[:200],
        "meaning": signature.meaning[:300],
        "at": signing.at,
    }
