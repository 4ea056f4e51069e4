"""A content as the page that is printed of it: in its language, in letters that the fonts have."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string

from inspections.reports.printable import covered_by, printed
from venue.language_now import in_language


def html_of(
    template: str, named: Mapping[str, Any], sha256: str, language: str, at: datetime,
    known: Mapping[str, Any],
) -> str:  # fmt: skip
    """`named`: the contents, by the names the template has for them; of these only is every letter
    made printable. `sha256`: of the canonical JSON that goes along."""
    covered = covered_by(Path(settings.BASE_DIR) / "static" / "fonts" / "pdf")
    shown = {name: printed(content, covered) for name, content in named.items()}
    about = {"record_sha256": sha256, "made_at": at.isoformat(timespec="seconds")}
    with in_language(language):
        return render_to_string(template, {**known, **about, **shown})
