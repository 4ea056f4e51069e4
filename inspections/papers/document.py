"""From a paper's content to its PDF, by the same child process that prints reports."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.template.loader import render_to_string

from inspections.papers.content import Notice, WorkPack
from inspections.reports.printable import covered_by, printed
from inspections.reports.render import Page, rendered
from venue.language_now import in_language
from venue.log_hash import canonical, sha256_of

TEMPLATES = {
    WorkPack: "inspections/papers/work_pack.html",
    Notice: "inspections/papers/notice.html",
}


def paper_pdf(paper: WorkPack | Notice, size: str, at: datetime) -> bytes:
    """Raises PdfNotMade. Slow (a second or two): never inside a transaction."""
    root = Path(settings.BASE_DIR)
    record_json = canonical(asdict(paper))
    record_sha256 = sha256_of(record_json)
    known = {
        "paper": printed(paper, covered_by(root / "static" / "fonts" / "pdf")),
        "record_sha256": record_sha256,
        "made_at": at.isoformat(timespec="seconds"),
    }
    with in_language(paper.head.language):
        html = render_to_string(TEMPLATES[type(paper)], known)
    return rendered(Page(html, record_json, record_sha256, size, at, {}), root)
