"""Countersign an issued report: one more named person, one more update of the same PDF."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import transaction

from inspections.actions.sign_head import sign_head
from inspections.actions.sign_kind import may_agree
from inspections.actions.venue_seal import (
    list_of_the_day,
    ring_of,
    time_stamp_authority,
    venue_seal,
)
from inspections.models import Countersignature, Report
from inspections.queries.disposal import disposal_of_report
from inspections.queries.issued_reports import newest_file, records_in
from inspections.reports.countersign_look import look_of
from inspections.reports.keys import Seal
from inspections.reports.seal import FIELD, Statement, countersigned, free_places
from inspections.reports.words import AGREES
from venue.actions.keep_file import keep_report
from venue.actions.log import write_line
from venue.file_store import path_of
from venue.models import KeptFile, Membership, Person
from venue.person_references import TextAbout


class CannotCountersign(ValueError):
    """Why not; nothing was signed."""


@dataclass(frozen=True)
class _Counter:
    """Who countersigns, as it will stand in the file, in the book and in the log."""

    report: Report
    number: int
    signer: Person
    role: str
    meaning: str
    at: datetime

    @property
    def lines(self) -> tuple[str, ...]:
        zone = self.report.venue.zone
        when = self.at.astimezone(zone)
        return (
            f"Countersigned by {self.signer.name}",
            f"Role: {self.role}",
            f"Time: {when:%Y-%m-%d %H:%M:%S %z} ({zone.key})",
            f"Meaning: {self.meaning}",
        )

    @property
    def statement(self) -> Statement:
        return Statement(
            self.signer.name, f"{self.meaning} ({self.role})", self.report.venue.name, self.at
        )


def countersign_report(
    *, report: Report, signer: Person, meaning: str, at: datetime
) -> Countersignature:
    """Raises CannotCountersign, MayNotSign, KeysUnreadable, SealExpired, NotStamped."""
    if gone := disposal_of_report(report):
        raise CannotCountersign(f"Its PDF was disposed of on {gone.at:%-d %B %Y}.")
    before = newest_file(report)
    counter = _counter(report, signer, meaning, at)
    seal = venue_seal(report.venue, at)
    content = _signed(counter, _content(before))
    return _store(counter, before, content, seal)


def _counter(report: Report, signer: Person, meaning: str, at: datetime) -> _Counter:
    if signer.pk == report.signer_id:
        raise CannotCountersign("You signed this report yourself. Somebody else countersigns it.")
    if Countersignature.objects.filter(report=report, signer=signer).exists():
        raise CannotCountersign("You have countersigned this report already.")
    if not meaning.strip():
        raise CannotCountersign("Say what your signature means.")
    number = Countersignature.objects.filter(report=report).count() + 1
    return _Counter(report, number, signer, _role(report, signer, meaning, at), meaning.strip(), at)


def _role(report: Report, signer: Person, meaning: str, at: datetime) -> str:
    """Whoever says that the report is right needs the competence for what it tells of."""
    venue = report.venue
    member = Membership.objects.filter(person=signer, venue=venue, ended_on__isnull=True).first()
    if member is None:
        raise CannotCountersign(f"You hold no role at {venue.name}.")
    role = member.get_role_display()
    if meaning != AGREES:
        return role
    standing = may_agree(report=report, records=list(records_in(report)), signer=signer, at=at)
    return standing.words if standing.words.startswith(role) else f"{role}; {standing.words}"


def _content(kept: KeptFile) -> bytes:
    """What would be signed must be the very file that was logged."""
    path = path_of(Path(settings.LOFTBOOK_FILES), kept.sha256)
    content = path.read_bytes() if path.is_file() else b""
    if hashlib.sha256(content).hexdigest() != kept.sha256:
        raise CannotCountersign(
            "The file in the store is not the one that was issued. Tell the manager."
        )
    return content


def _signed(counter: _Counter, content: bytes) -> bytes:
    """With a key made for this one signature, in the signer's name: readers know whose it is by the
    certificate, and one that reads two signatures by one certificate (pdfsig 22.12) gets lost."""
    places = [name for name in free_places(content) if name != FIELD]
    if not places:
        raise CannotCountersign(
            "This report has no place left for a countersignature: three fit, and reports issued "
            "before there were such places have none."
        )
    look = look_of(counter.lines, Path(settings.BASE_DIR) / "static" / "fonts" / "pdf")
    venue, at = counter.report.venue, counter.at
    once = ring_of(venue).for_one_signature(counter.signer.name, at)
    once = replace(once, revoked=list_of_the_day(venue, at))
    return countersigned(
        content, once, counter.statement, places[0], time_stamp_authority(), look
    )  # fmt: skip


@transaction.atomic
def _store(counter: _Counter, before: KeptFile, content: bytes, seal: Seal) -> Countersignature:
    report, at = Report.objects.select_for_update().get(pk=counter.report.pk), counter.at
    if newest_file(report) != before:
        raise CannotCountersign("Somebody else countersigned at the same moment. Try again.")
    venue, signer = report.venue, counter.signer
    name = f"{venue.slug}-report-{report.number}-countersigned-{counter.number}.pdf"
    kept = keep_report(venue=venue, name=name, content=content, by=signer, at=at)
    row = Countersignature.objects.create(
        report=report, number=counter.number, signer=signer, signer_name=signer.name,
        signer_role=counter.role[:200], meaning=counter.meaning[:300], at=at, kept_file=kept,
    )  # fmt: skip
    after = {
        "report": report.number, "number": row.number, "name": signer,
        "role": TextAbout(row.signer_role, signer), "meaning": row.meaning, "signed": at, "pdf_sha256": kept.sha256,
        "pdf_sha256_before": before.sha256, "seal_sha256": seal.fingerprint,
    }  # fmt: skip
    write_line(venue=venue, by=signer, at=at, did="countersign_report", subject=row, after=after)
    sign_head(venue=venue, seal=seal, at=at)
    return row
