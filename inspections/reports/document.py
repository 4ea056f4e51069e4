"""From content to an unsigned PDF: canonical JSON, the page, its photographs, the child process."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from inspections.reports import words
from inspections.reports.content import Report
from inspections.reports.kind_files import report_kinds
from inspections.reports.page import html_of
from inspections.reports.render import Page, rendered
from inspections.tag_codes import tag_svg
from venue.file_store import path_of
from venue.language_now import in_language
from venue.log_hash import canonical, sha256_of


@dataclass(frozen=True)
class Document:
    pdf: bytes
    record_json: str
    record_sha256: str


def document_of(report: Report, paper: str, at: datetime) -> Document:
    """Raises PdfNotMade. Slow (a second or two): never inside a transaction."""
    record_json = canonical(report.to_dict())
    record_sha256 = sha256_of(record_json)
    stored = _stored_pictures(_pictures_named(report))
    html = page_html(report, record_sha256, frozenset(stored), at)
    pictures = {f"{sha256}.jpg": path for sha256, path in stored.items()}
    page = Page(html, record_json, record_sha256, paper, at, pictures)
    return Document(rendered(page, Path(settings.BASE_DIR)), record_json, record_sha256)


def page_html(report: Report, record_sha256: str, stored: frozenset[str], at: datetime) -> str:
    address = f"{settings.LOFTBOOK_ADDRESS}/verify/{record_sha256}/"
    with in_language(report.language):
        code_words = _("Code of the address %(address)s") % {"address": address}
    known = {
        "verify_address": address,
        "verify_code": tag_svg(address, title=code_words),
        "stored_pictures": stored,
        "calm_verdicts": words.CALM_VERDICTS,
        "signature_is": words.SIGNATURE_IS,
        "signature_is_not": words.SIGNATURE_IS_NOT,
    }
    named = {"report": report}
    return html_of(_template(report), named, record_sha256, report.language, at, known)


def _template(report: Report) -> str:
    """A kind's own pages, or those of checks."""
    if report.matter is None:
        return "inspections/report/report.html"
    return f"inspections/report/kinds/{report_kinds()[report.matter.kind].template}"


def _pictures_named(report: Report) -> set[str]:
    answers = [answer for sheet in report.sheets for answer in sheet.answers]
    named = {photo.sha256 for answer in answers for photo in answer.photographs}
    named |= {sheet.drawn_signature.sha256 for sheet in report.sheets if sheet.drawn_signature}
    returned = report.matter.returned if report.matter else None
    cures = returned.cures if returned else ()
    files = [file for cure in cures for file in cure.evidence]
    return named | {file.sha256 for file in files if file.media_type.startswith("image/")}


def _stored_pictures(named: Iterable[str]) -> dict[str, Path]:
    """The pictures that are whole in the store; a lost or damaged one is printed as that."""
    root = Path(settings.LOFTBOOK_FILES).resolve()
    paths = {sha256: path_of(root, sha256) for sha256 in named if sha256}
    return {sha256: path for sha256, path in paths.items() if _is_whole(path, sha256)}


def _is_whole(path: Path, sha256: str) -> bool:
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == sha256
