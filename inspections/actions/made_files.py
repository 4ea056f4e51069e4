"""Files that a job made and that can be made again: bundles and drafts. They are no evidence."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

KEPT_FOR = timedelta(days=7)


def made_folder() -> Path:
    """Beside the kept files and never among them: these are removed, evidence is not."""
    folder = Path(settings.LOFTBOOK_FILES) / "bundles"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def write_whole(path: Path, content: bytes) -> None:
    """Whole or not at all: whoever looks for it meanwhile finds nothing."""
    half = path.with_name(f".{path.name}")
    half.write_bytes(content)
    half.replace(path)


def remove_old_made_files(*, at: datetime) -> int:
    """Remove what was kept long enough, and what a killed worker left half written."""
    oldest, removed = (at - KEPT_FOR).timestamp(), 0
    for path in made_folder().glob("*"):
        if path.is_file() and path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
            removed += 1
    return removed
