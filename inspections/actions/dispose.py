"""Dispose of files that need not be kept any longer. Rows, hashes and log always stay."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial

from django.db import transaction

from inspections.actions.remove_bytes import remove_unneeded
from inspections.models import Disposal, Record, Report
from inspections.queries.disposal import (
    files_of_record,
    files_of_report,
    hold_stands,
    longest_of,
    records_of_report,
    why_report_stays,
)
from inspections.queries.disposal_of_things import (
    Thing,
    files_of_thing,
    known_of,
    thing_kept,
    venue_of,
)
from inspections.queries.retention import kept_record, why_it_stays
from inspections.retention import Kept
from venue.actions.log import write_line
from venue.models import KeptFile, Person, Venue


class CannotDispose(ValueError):
    """Says why it stays."""


def dispose_of_record_files(*, record: Record, why: str, by: Person, at: datetime) -> int:
    """Remove the bytes of the photographs, voice notes and drawn signature that only this record leads
    to. Returns how many. Raises CannotDispose."""
    with transaction.atomic():
        _let_holds_wait(record.venue)
        said = kept_record(record)
        stays = why_it_stays(said, at.astimezone(record.venue.zone).date())
        files = _locked(partial(files_of_record, record))
        _refuse(stays, files, why, "It has no file that only it leads to.")
        _dispose(record, files, said.kept, why, by, at)
    return len(files)


def dispose_of_report_files(*, report: Report, why: str, by: Person, at: datetime) -> int:
    """Remove its PDF, as issued and with each countersignature, once every record it tells of may go.
    What it says stays in its row. Returns how many files. Raises CannotDispose."""
    with transaction.atomic():
        _let_holds_wait(report.venue)
        records = records_of_report(report)
        today, held = at.astimezone(report.venue.zone).date(), hold_stands(report.venue)
        stays = why_report_stays(report, records, today, held)
        files = _locked(partial(files_of_report, report))
        _refuse(stays, files, why, "Its PDF is no longer there.")
        _dispose(report, files, longest_of(records), why, by, at)
    return len(files)


def dispose_of_thing_files(*, thing: Thing, why: str, by: Person, at: datetime) -> int:
    """Remove the files of a remedy, of equipment that is gone or of a part that was taken out, once
    every record it hangs on may go. Returns how many files. Raises CannotDispose."""
    venue = venue_of(thing)
    with transaction.atomic():
        _let_holds_wait(venue)
        said = thing_kept(thing, known_of(venue), at.astimezone(venue.zone).date())
        files = _locked(partial(files_of_thing, thing))
        _refuse(said.stays, files, why, "It has no file that only it leads to.")
        assert said.kept  # or something would have spoken against it
        _dispose(thing, files, said.kept, why, by, at)
    return len(files)


def _let_holds_wait(venue: Venue) -> None:
    """A hold that is placed now waits until this is over, or this until it stands."""
    Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)


def _locked(find: Callable[[], list[KeptFile]]) -> list[KeptFile]:
    """The files, after nobody can hang one of them on something else any more until this is over."""
    there = [file.pk for file in find()]
    list(KeptFile.objects.select_for_update().filter(pk__in=there).order_by("pk"))
    return find()


def _refuse(stays: str, files: Sequence[KeptFile], why: str, nothing: str) -> None:
    if stays or not files or not why.strip():
        raise CannotDispose(stays or ("Say why they go." if files else nothing))


def _dispose(
    of: Record | Report | Thing,
    files: Sequence[KeptFile],
    kept: Kept,
    why: str,
    by: Person,
    at: datetime,
) -> None:
    assert kept.until  # or something would have spoken against it
    assert kept.decided_by
    told = {
        "kept_until": kept.until, "rule": kept.decided_by.source[:300], "why": why.strip(),
    }  # fmt: skip
    venue = of.venue if isinstance(of, Record | Report) else venue_of(of)
    thing = {of._meta.model_name or "": of}
    for file in files:
        Disposal.objects.create(venue=venue, kept_file=file, by=by, at=at, **thing, **told)
    after = told | {"files": sorted(_hashes_of(files))}
    write_line(venue=venue, by=by, at=at, did="dispose_of_files", subject=of, after=after)
    transaction.on_commit(partial(remove_unneeded, _hashes_of(files), at))


def _hashes_of(files: Sequence[KeptFile]) -> set[str]:
    """As they were sent, and as they are shown."""
    return {sha256 for file in files for sha256 in (file.sha256, file.shown_sha256)}
