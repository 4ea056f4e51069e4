"""Dispose of what need not be kept any longer: the photographs of a record, and nothing else yet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.db.models import Q

from inspections.models import Disposal, Record
from inspections.queries.retention import kept_record, photographs_of, why_it_stays
from venue.actions.log import write_line
from venue.file_store import path_of
from venue.models import KeptFile, Person, Venue


class CannotDispose(ValueError):
    """Says why it stays."""


def dispose_of_photographs(*, record: Record, why: str, by: Person, at: datetime) -> int:
    """Remove the bytes of the photographs that only this record shows. The record, the files' rows with
    their hashes, and the log stay. Returns how many. Raises CannotDispose."""
    venue = record.venue
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # a hold placed now waits
        said = kept_record(record)
        stays = why_it_stays(said, at.astimezone(venue.zone).date())
        files = photographs_of(record)
        if stays or not files or not why.strip():
            raise CannotDispose(
                stays
                or ("Say why they go." if files else "It has no photograph that only it shows.")
            )
        until, rule = said.kept.until, said.kept.decided_by
        assert until  # or something would have spoken against it
        assert rule
        told = {"kept_until": until, "rule": rule.source[:300], "why": why.strip()}
        for file in files:
            Disposal.objects.create(
                venue=venue, record=record, kept_file=file, by=by, at=at, **told
            )
        after = told | {"files": sorted(_hashes_of(files))}
        write_line(
            venue=venue, by=by, at=at, did="dispose_of_photographs", subject=record, after=after
        )
        transaction.on_commit(partial(_remove, _bytes_nobody_needs(files)))
    return len(files)


def _bytes_nobody_needs(files: Sequence[KeptFile]) -> set[str]:
    """The same bytes may be kept under another name, or in another house."""
    theirs = _hashes_of(files)
    kept = KeptFile.objects.filter(Q(sha256__in=theirs) | Q(shown_sha256__in=theirs))
    kept = kept.exclude(pk__in=Disposal.objects.values("kept_file"))
    needed = {each for pair in kept.values_list("sha256", "shown_sha256") for each in pair}
    return theirs - needed


def _hashes_of(files: Sequence[KeptFile]) -> set[str]:
    """As they were sent, and as they are shown."""
    return {sha256 for file in files for sha256 in (file.sha256, file.shown_sha256)}


def _remove(hashes: set[str]) -> None:
    for sha256 in hashes:
        path_of(Path(settings.LOFTBOOK_FILES), sha256).unlink(missing_ok=True)
