"""Remove bytes from the store that nobody needs any longer."""

from __future__ import annotations

from collections.abc import Collection
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.db.models import Q

from inspections.models import Disposal
from inspections.queries.bytes_needed import bytes_nobody_needs
from venue.file_store import end_removal, lies_there, remove_bytes, was_begun
from venue.models import KeptFile

# Bytes come before the row that leads to them: whoever is sending the same file again has so long to
# hang it on something.
ON_THE_WAY = timedelta(hours=1)
LOOKED_BACK = timedelta(days=7)
HOUR_OF_ALL = 3  # UTC


def remove_unneeded(hashes: Collection[str], at: datetime) -> int:
    """What is needed is asked anew for each: since the rows were written, it may be kept again. The
    lock waits for whoever is hanging such a file on something now. Bytes that somebody brought within
    the last hour stay for now, and what was put aside and is needed comes back. Returns how many files
    were removed."""
    removed, root = 0, Path(settings.LOFTBOOK_FILES)
    for sha256 in sorted(hashes):
        with transaction.atomic():
            named = Q(sha256=sha256) | Q(shown_sha256=sha256)
            list(KeptFile.objects.select_for_update().filter(named).order_by("pk"))
            if bytes_nobody_needs({sha256}):
                removed += remove_bytes(root, sha256, unless_since=at - ON_THE_WAY)
            else:
                end_removal(root, sha256)
    return removed


def remove_disposed_bytes(*, at: datetime) -> int:
    """What a disposal of the last days left lying: it was on the way, or the process was killed. At
    night all are looked at: the process may have been off for longer."""
    root = Path(settings.LOFTBOOK_FILES)
    rows = Disposal.objects.all()
    if not (at.hour == HOUR_OF_ALL and at.minute < 10):  # one tick or two
        rows = rows.filter(at__gte=at - LOOKED_BACK)
    named = {each for pair in rows.values_list("kept_file__sha256", "kept_file__shown_sha256")
             for each in pair}  # fmt: skip
    there = {sha256 for sha256 in named if lies_there(root, sha256)}
    if not there:
        return 0
    to_do = {each for each in there if was_begun(root, each)} | bytes_nobody_needs(there)
    return remove_unneeded(to_do, at)
