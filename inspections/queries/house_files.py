"""Every file that a house keeps, the newest first, and what each belongs to. A stretch of them costs as
many questions whether it holds three files or thousands: each table that leads to files is asked once,
by the times between which the stretch lies."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.urls import reverse

from inspections.models import (
    AnswerPhoto,
    CheckFile,
    Countersignature,
    Disposal,
    DraftPhoto,
    Record,
    RemedyFile,
    Report,
    SentPhotograph,
)
from venue.models import Equipment, EquipmentFile, KeptFile, PartFile, Person, Venue
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch

FILES_AT_ONCE = 2000
UNDER_WAY = "A check that is not in the book yet"


@dataclass(frozen=True)
class Use:
    """What a file belongs to. `title`: in English, or with `typed` as people wrote it; `piece`: the
    equipment by its tag and name; `url`: of the page that shows the file, none where there is no page
    yet."""

    title: str
    piece: str = ""
    url: str = ""
    day: date | None = None
    typed: bool = False


@dataclass(frozen=True)
class HouseFile:
    """`gone`: its bytes were disposed of after their time; the row stays."""

    kept: KeptFile
    uses: tuple[Use, ...]
    gone: bool

    @property
    def piece(self) -> str:
        return next((use.piece for use in self.uses if use.piece), "")


def house_files(venue: Venue, person: Person, past: str = "") -> Stretch[HouseFile]:
    """The newest first."""
    rows = KeptFile.objects.visible_to(person).in_venue(venue).select_related("by")
    read = stretch_of(rows, ("-at", "-pk"), past, FILES_AT_ONCE)
    uses, gone = _uses(venue, read.rows), _gone(venue, read.rows)
    files = [HouseFile(each, tuple(uses[each.pk]), each.pk in gone) for each in read.rows]
    return Stretch(files, read.more, read.begun)


def _between(venue: Venue, files: Sequence[KeptFile]) -> dict[str, Any]:
    """Rows that lead to a file of the stretch, and to few others."""
    newest, oldest = files[0].at, files[-1].at
    return {"kept_file__venue": venue, "kept_file__at__range": (oldest, newest)}


def _gone(venue: Venue, files: Sequence[KeptFile]) -> set[int]:
    rows = Disposal.objects.filter(**_between(venue, files)) if files else Disposal.objects.none()
    return set(rows.values_list("kept_file_id", flat=True))


def _uses(venue: Venue, files: Sequence[KeptFile]) -> dict[int, list[Use]]:
    found: dict[int, list[Use]] = defaultdict(list)
    if not files:
        return found
    between = _between(venue, files)
    for each in (_of_the_register, _of_records, _of_findings, _of_reports):
        for pk, use in each(venue, between):
            found[pk] += [use] if use not in found[pk] else []
    for pk, use in _of_checks_under_way(venue, between):
        if not found[pk]:
            found[pk].append(use)
    return found


def _page(name: str, venue: Venue, key: object) -> str:
    return reverse(name, args=[venue.slug, key])


def _of_the_register(venue: Venue, between: dict[str, Any]) -> Iterator[tuple[int, Use]]:
    things = EquipmentFile.objects.filter(**between).select_related("equipment")
    for row in things:
        yield row.kept_file_id, _of_equipment(venue, row.equipment, row.caption)
    for part in PartFile.objects.filter(**between).select_related("part__equipment"):
        title = part.caption or str(part.part)
        piece, url = str(part.part.equipment), _page("part", venue, part.part_id)
        yield part.kept_file_id, Use(title, piece, url, typed=True)


def _of_equipment(venue: Venue, equipment: Equipment, title: str) -> Use:
    url = _page("equipment", venue, equipment.pk)
    return Use(title, str(equipment), url, typed=title != UNDER_WAY)


def _of_records(venue: Venue, between: dict[str, Any]) -> Iterator[tuple[int, Use]]:
    wanted = ("answer__record__equipment", "answer__record__version")
    photos = AnswerPhoto.objects.filter(**between).select_related(*wanted)
    for photo in photos.defer("answer__record__body", "answer__record__version__body"):
        yield photo.kept_file_id, _of_record(venue, photo.answer.record)
    files = CheckFile.objects.filter(**between)
    records = _records(venue, files.values("check_id"))
    for file in files:
        if file.check_id in records:
            yield file.kept_file_id, _of_record(venue, records[file.check_id])


def _records(venue: Venue, pks: Any) -> dict[UUID, Record]:
    rows = Record.objects.filter(venue=venue, pk__in=pks).select_related("equipment", "version")
    return {row.pk: row for row in rows.defer("body", "version__body")}


def _of_record(venue: Venue, record: Record) -> Use:
    url = _page("record", venue, record.pk)
    return Use(record.version.title, str(record.equipment), url, record.done_on)


def _of_findings(venue: Venue, between: dict[str, Any]) -> Iterator[tuple[int, Use]]:
    rows = RemedyFile.objects.filter(**between).select_related("remedy__finding__equipment")
    for row in rows:
        finding = row.remedy.finding
        url = _page("finding", venue, finding.pk)
        yield row.kept_file_id, Use(finding.what, str(finding.equipment), url)


def _of_reports(venue: Venue, between: dict[str, Any]) -> Iterator[tuple[int, Use]]:
    for report in Report.objects.filter(**between).defer("record_json"):
        yield report.kept_file_id, _of_report(venue, report)
    signed = Countersignature.objects.filter(**between).select_related("report")
    for each in signed.defer("report__record_json"):
        yield each.kept_file_id, _of_report(venue, each.report)


def _of_report(venue: Venue, report: Report) -> Use:
    url = _page("report", venue, report.number)
    told = str(report.examined_on.year) in report.title  # most titles tell their days themselves
    day = None if told else report.examined_on
    return Use(f"{report.number} {report.title}", url=url, day=day)


def _of_checks_under_way(venue: Venue, between: dict[str, Any]) -> Iterator[tuple[int, Use]]:
    """What was sent for a check that has no record yet."""
    for photo in DraftPhoto.objects.filter(**between).select_related("draft__equipment"):
        yield photo.kept_file_id, _of_equipment(venue, photo.draft.equipment, UNDER_WAY)
    for model in (SentPhotograph, CheckFile):
        for pk in model.objects.filter(**between).values_list("kept_file_id", flat=True):
            yield pk, Use(UNDER_WAY)
