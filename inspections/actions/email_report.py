"""Send an issued report by mail."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import transaction

from inspections.models import Report
from inspections.queries.disposal import disposal_of_report
from inspections.queries.issued_reports import newest_file
from venue.actions.log import write_line
from venue.actions.send_letter import NotTaken, send_letter
from venue.file_store import path_of
from venue.letter import Letter
from venue.models import KeptFile, Person
from venue.person_references import TextAbout


class NotSent(RuntimeError):
    """The mail was not handed over; nothing was logged as sent."""


def email_report(*, report: Report, to: str, note: str, by: Person, at: datetime) -> None:
    """Hand the PDF to the mail server, then log it. Raises NotSent.

    Sent before it is logged and outside the transaction: a slow mail server must not hold the
    database's write lock.
    """
    if gone := disposal_of_report(report):
        raise NotSent(f"Its PDF was disposed of on {gone.at:%-d %B %Y}.")
    kept = newest_file(report)
    _send(report, kept, to, note, by)
    after = {"to": TextAbout(to), "number": report.number, "pdf_sha256": kept.sha256}
    with transaction.atomic():
        write_line(
            venue=report.venue, by=by, at=at, did="email_report", subject=report, after=after
        )


def _send(report: Report, kept: KeptFile, to: str, note: str, by: Person) -> None:
    subject = f"{report.venue.name}: report {report.number}, {report.title}"
    try:
        pdf = path_of(Path(settings.LOFTBOOK_FILES), kept.sha256).read_bytes()
        files = [(kept.name, pdf, "application/pdf")]
        send_letter(Letter(to, subject, _text(report, kept, note, by), files=files))
    except OSError as fault:
        raise NotSent(f"Its PDF cannot be read ({fault}).") from fault
    except NotTaken as refusal:
        raise NotSent(f"{refusal} Try again, or download the PDF.") from refusal


def _text(report: Report, kept: KeptFile, note: str, by: Person) -> str:
    lines = [
        note.strip(),
        f"Report {report.number} of {report.venue.name} is attached: {report.title}.",
        f"Signed by {report.signer_name}, {report.signer_role}.",
        f"SHA-256 of the attached file: {kept.sha256}",
        f"Sent by {by.name}.",
    ]
    return "\n\n".join(line for line in lines if line)
