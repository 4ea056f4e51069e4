"""Which files may be disposed of: what only one record or only one report leads to, after its time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.apps import apps
from django.db.models import Exists, Max, OuterRef, Q, QuerySet

from inspections.models import (
    AnswerPhoto,
    CheckFile,
    Countersignature,
    Disposal,
    DraftPhoto,
    Record,
    Report,
    ReportRecord,
    SentPhotograph,
)
from inspections.queries.retention import (
    KeptRecord,
    as_if_made,
    holds_of,
    kept_records,
    rules_of,
    why_it_stays,
)
from inspections.retention import Kept
from venue.models import KeptFile, Venue

HELD = (
    "A hold stands in this house, and a report of this kind may tell of more than its records. The "
    "hold has to be lifted first."
)
NO_RECORD = "No record hangs on it, so nothing tells how long it must be kept."
Own = dict[type, dict[str, Any]]


def disposals_of(venue: Venue) -> QuerySet[Disposal]:
    return Disposal.objects.in_venue(venue).select_related(
        "kept_file",
        "by",
        "report",
        "record__equipment",
        "record__version",
        "remedy",
        "equipment",
        "part__equipment",
    )


def disposal_of_report(report: Report) -> Disposal | None:
    """Where its PDF is gone. Nobody countersigns what is gone, so nothing came after it."""
    return Disposal.objects.filter(report=report).select_related("by").first()


def files_gone(record: Record) -> set[int]:
    """The numbers of the files of a record whose bytes were disposed of."""
    return set(Disposal.objects.filter(record=record).values_list("kept_file", flat=True))


def files_of_record(record: Record) -> list[KeptFile]:
    """The photographs of its answers, voice notes and drawn signature that are still there and that
    nothing else leads to."""
    answered = AnswerPhoto.objects.filter(answer__record=record).values("kept_file")
    along = CheckFile.objects.filter(**_made_with(record)).values("kept_file")
    files = KeptFile.objects.filter(Q(pk__in=answered) | Q(pk__in=along))
    return still_there_alone(files, own_of_record(record))


def own_of_record(record: Record) -> Own:
    return {
        AnswerPhoto: {"answer__record": record}, SentPhotograph: {"check_id": record.pk},
        CheckFile: _made_with(record),
        DraftPhoto: {"draft": record.pk},  # a record has the number of its draft
    }  # fmt: skip


def _made_with(record: Record) -> dict[str, Any]:
    return {"check_id": record.pk, "by": record.by_id}


def files_of_report(report: Report) -> list[KeptFile]:
    """Its PDF as issued and with each countersignature."""
    later = Countersignature.objects.filter(report=report).values("kept_file")
    files = KeptFile.objects.filter(Q(pk=report.kept_file_id) | Q(pk__in=later))
    return still_there_alone(files, own_of_report(report))


def own_of_report(report: Report) -> Own:
    return {Report: {"pk": report.pk}, Countersignature: {"report": report}}


def still_there_alone(files: QuerySet[KeptFile], own: Own) -> list[KeptFile]:
    there = files.exclude(pk__in=Disposal.objects.values("kept_file")).order_by("pk")
    return [file for file in there if not is_led_to(file, own)]


def is_led_to(file: KeptFile, own: Own) -> bool:
    """Whether anything but its own leads to the file: whatever table it is."""
    for model in apps.get_models():
        for link in model._meta.concrete_fields:
            if link.related_model is KeptFile:
                rows = model._default_manager.filter(**{link.name: file})
                if rows.exclude(**own[model]).exists() if model in own else rows.exists():
                    return True
    return False


def records_that_may_go(venue: Venue, today: date) -> list[Record]:
    """Those whose files may be disposed of, are still there and are in no other record's answers, the
    oldest first; fifty at most."""
    may = [each.pk for each in kept_records(venue) if each.may_go(today)]
    gone = Disposal.objects.values("kept_file")
    others = AnswerPhoto.objects.filter(kept_file=OuterRef("kept_file"))
    others = others.exclude(answer__record=OuterRef("answer__record"))
    pictured = AnswerPhoto.objects.filter(~Exists(others), answer__record=OuterRef("pk"))
    pictured = pictured.exclude(kept_file__in=gone)
    along = CheckFile.objects.filter(check_id=OuterRef("pk"), by=OuterRef("by"))
    along = along.exclude(kept_file__in=gone)
    rows = Record.objects.filter(Exists(pictured) | Exists(along), pk__in=may)
    return list(
        rows.select_related("equipment", "version").defer("body").order_by("done_on", "pk")[:50]
    )


def reports_that_may_go(venue: Venue, today: date) -> list[Report]:
    """Those whose PDF may be disposed of and is still there, the oldest first; fifty at most."""
    if not rules_of(venue):
        return []
    theirs, held = _records_by_report(venue), hold_stands(venue)
    gone = Disposal.objects.values("kept_file")
    rows = Report.objects.in_venue(venue).exclude(kept_file__in=gone).defer("record_json")
    return [
        report
        for report in rows.order_by("number")
        if not why_report_stays(report, theirs[report.pk], today, held)
    ][:50]


def records_of_report(report: Report) -> list[KeptRecord]:
    return _records_by_report(report.venue)[report.pk]


def _records_by_report(venue: Venue) -> dict[int, list[KeptRecord]]:
    """The records of each report, as if made on the day of its last signature where that is later:
    a paper is kept from then on, and of two days the longer counts. Their next is the next after it."""
    rules = rules_of(venue) or ()
    known = {each.pk: each for each in kept_records(venue)}
    signed = _last_signed(venue)
    found: dict[int, list[KeptRecord]] = defaultdict(list)
    rows = ReportRecord.objects.in_venue(venue).order_by("pk")
    for report, record in rows.values_list("report", "record"):
        found[report].append(as_if_made(known[str(record)], signed[report], rules))
    return found


def _last_signed(venue: Venue) -> dict[int, date]:
    rows = Report.objects.in_venue(venue).order_by().annotate(last=Max("countersignatures__at"))
    return {
        pk: max(at, last or at).astimezone(venue.zone).date()
        for pk, at, last in rows.values_list("pk", "at", "last")
    }


def hold_stands(venue: Venue) -> bool:
    return holds_of(venue).filter(lifted_at=None).exists()


def why_report_stays(report: Report, records: Sequence[KeptRecord], today: date, held: bool) -> str:
    """In words, why its PDF may not be disposed of; nothing where it may. `held`: whether any hold
    stands in the house."""
    if not records:
        return NO_RECORD
    of_a_kind = report.what not in (Report.ONE_RECORD, Report.DAY)
    if of_a_kind and held:
        return HELD
    return next((words for each in records if (words := why_it_stays(each, today))), "")


def longest_of(records: Sequence[KeptRecord]) -> Kept:
    """What keeps several records longest; each of them has a day."""
    return max((each.kept for each in records), key=lambda kept: kept.until or date.min)
