"""Reports that were issued, and the records that may be reported. Every function is told who asks."""

from __future__ import annotations

from datetime import date

from django.db.models import QuerySet

from inspections.models import Countersignature, Record, Report
from venue.models import KeptFile, LogLine, Person, Venue
from venue.queries.log_names import ShownLine, shown, with_names
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch

REPORTS_AT_ONCE = 2000


def reports_of(venue: Venue, person: Person) -> QuerySet[Report]:
    rows = Report.objects.visible_to(person).in_venue(venue)
    return rows.select_related("kept_file", "venue").defer("record_json").order_by("-number")


def reports_read(venue: Venue, person: Person, past: str = "") -> Stretch[Report]:
    """The newest first."""
    return stretch_of(reports_of(venue, person), ("-number",), past, REPORTS_AT_ONCE)


def countersignatures_of(report: Report) -> QuerySet[Countersignature]:
    rows = Countersignature.objects.filter(report=report)
    return rows.select_related("kept_file").order_by("number")


def newest_file(report: Report) -> KeptFile:
    """The PDF with every signature on it."""
    last = countersignatures_of(report).last()
    return last.kept_file if last else report.kept_file


def records_in(report: Report) -> QuerySet[Record]:
    rows = Record.objects.filter(report_records__report=report)
    return rows.select_related("equipment", "version").defer("body").order_by("at")


def reportable_records(venue: Venue, person: Person) -> QuerySet[Record]:
    rows = Record.objects.visible_to(person).in_venue(venue)
    return rows.select_related("equipment__place", "version", "by")


def records_of_day(
    venue: Venue, person: Person, day: date, equipment: int | None = None
) -> QuerySet[Record]:
    rows = reportable_records(venue, person).filter(done_on=day)
    if equipment is not None:
        rows = rows.filter(equipment_id=equipment)
    return rows.order_by("equipment__walking_order", "equipment__tag", "at")


def exports_of(venue: Venue, person: Person) -> list[ShownLine]:
    """The bundles handed out before, newest first, as the log tells it."""
    rows = LogLine.objects.visible_to(person).in_venue(venue)
    return shown(with_names(rows.filter(did="export_evidence")).order_by("-number")[:20])
