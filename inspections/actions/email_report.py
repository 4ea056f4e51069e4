"""Send an issued report by mail."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from inspections.models import Report
from inspections.queries.disposal import disposal_of_report
from inspections.queries.issued_reports import newest_file
from venue.actions.log import write_line
from venue.actions.send_letter import NotTaken, send_letter
from venue.file_store import path_of
from venue.language_now import in_language, language_of_papers, said
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
    with in_language(language_of_papers(report.venue)):  # as the report itself is
        subject = _("%(venue)s: report %(number)s, %(title)s") % _names(report)
        words = _text(report, kept, note, by)
    try:
        pdf = path_of(Path(settings.LOFTBOOK_FILES), kept.sha256).read_bytes()
        files = [(kept.name, pdf, "application/pdf")]
        send_letter(Letter(to, subject, words, files=files))
    except OSError as fault:
        raise NotSent(f"Its PDF cannot be read ({fault}).") from fault
    except NotTaken as refusal:
        raise NotSent(f"{refusal} Try again, or download the PDF.") from refusal


def _text(report: Report, kept: KeptFile, note: str, by: Person) -> str:
    names = _names(report) | {"sha256": kept.sha256, "sender": by.name}
    names |= {"signer": report.signer_name, "role": said(report.signer_role)}
    lines = [
        note.strip(),
        _("Report %(number)s of %(venue)s is attached: %(title)s.") % names,
        _("Signed by %(signer)s, %(role)s.") % names,
        _("SHA-256 of the attached file: %(sha256)s") % names,
        _("Sent by %(sender)s.") % names,
    ]
    return "\n\n".join(line for line in lines if line)


def _names(report: Report) -> dict[str, str]:
    return {
        "venue": report.venue.name,
        "number": str(report.number),
        "title": said(report.title),
    }
