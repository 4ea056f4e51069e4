"""Register files that were tried, kept until they are confirmed.

They lie in a folder of their own. Evidence is kept under its hash in the store; were these kept
there too, clearing them away could take along the same bytes that somebody attached as evidence.
"""

from __future__ import annotations

import hashlib
import os
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

from venue.file_store import keep_bytes, path_of

# A confirmation is good for a day; the file outlives it by another.
KEPT_FOR = timedelta(days=2)


class KeptFileGone(LookupError):
    """The file of the trial is no longer there; nothing was changed."""


def tried_folder() -> Path:
    return Path(settings.LOFTBOOK_FILES) / "tried"


def keep_for_later(*, content: bytes, at: datetime) -> str:
    """Keep the file of a trial until it is confirmed. Returns its SHA-256."""
    sha256 = keep_bytes(tried_folder(), content)
    os.utime(path_of(tried_folder(), sha256), (at.timestamp(), at.timestamp()))
    return sha256


def kept_for_later(sha256: str) -> bytes:
    """The file of a trial. Raises KeptFileGone also when its bytes are no longer the same."""
    try:
        content = path_of(tried_folder(), sha256).read_bytes()
    except OSError as fault:
        raise KeptFileGone("The file is no longer kept. Send it again.") from fault
    if hashlib.sha256(content).hexdigest() != sha256:
        raise KeptFileGone("The kept file is damaged. Send it again.")
    return content


def remove_old_tried_files(*, at: datetime) -> int:
    """Remove files whose last trial was long enough ago. Returns how many."""
    oldest, removed = (at - KEPT_FOR).timestamp(), 0
    for path in tried_folder().glob("*/*"):
        if path.is_file() and path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
            removed += 1
    return removed
