"""From a paper's content to its PDF, by the same child process that prints reports."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from pathlib import Path

from django.conf import settings

from inspections.papers.content import Notice, WorkPack
from inspections.reports.page import html_of
from inspections.reports.render import Page, rendered
from venue.log_hash import canonical, sha256_of

TEMPLATES = {
    WorkPack: "inspections/papers/work_pack.html",
    Notice: "inspections/papers/notice.html",
}


def paper_pdf(paper: WorkPack | Notice, size: str, at: datetime) -> bytes:
    """Raises PdfNotMade. Slow (a second or two): never inside a transaction."""
    record_json = canonical(asdict(paper))
    sha256 = sha256_of(record_json)
    html = html_of(TEMPLATES[type(paper)], {"paper": paper}, sha256, paper.head.language, at, {})
    return rendered(Page(html, record_json, sha256, size, at, {}), Path(settings.BASE_DIR))
