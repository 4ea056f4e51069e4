"""A return to service: the order, what was done, what shows it, and who returned it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime
from itertools import count

from inspections.models import Order, Record, Remedy, ReturnToService, Task
from inspections.queries.report_content import local_time, place_words
from inspections.queries.report_kinds.checks_done import check_done, not_decided
from inspections.queries.report_kinds.shapes import Chosen, Told, blank_matter, day_words, local_day
from inspections.reports.kind_files import ReportKind
from inspections.reports.matter import Cure, Evidence, Fact, Returned
from venue.models import Venue

SECOND = "The person who returned it is not one of those who did the remedy."


def build(kind: ReportKind, chosen: Chosen, at: datetime) -> Told:
    assert chosen.returned is not None  # the form and the action made sure
    returned, venue = chosen.returned, chosen.venue
    order, day = returned.order, local_day(returned.at, chosen.venue)
    after = _records_after(returned)
    facts = (Fact("Equipment", str(order.equipment)), Fact("Returned", day_words(day)))
    matter = replace(blank_matter(kind), facts=facts, returned=_returned(returned, after, venue))
    found_in = [order.finding.record] if order.finding.record else []
    return Told(
        title=f"{order.equipment}: returned to service on {day_words(day)}"[:200],
        records=list({record.pk: record for record in (*found_in, *after)}.values()),
        examined_on=day, next_due=_next_due(order),
        examiners=frozenset({returned.by_id}), matter=matter,
    )  # fmt: skip


def _returned(returned: ReturnToService, after: Sequence[Record], venue: Venue) -> Returned:
    order, finding = returned.order, returned.order.finding
    unseen = not_decided(after)
    return Returned(
        tag=order.equipment.tag, equipment=order.equipment.name, part=str(finding.part or ""),
        place=place_words(order.equipment.place), order=order.get_what_display(), why=order.why,
        restriction=order.restriction, ordered_by=order.by.name,
        ordered_at=local_time(order.at, venue), bites_on=order.bites_on.isoformat(),
        finding=finding.what, grade=finding.get_grade_display(), detail=finding.detail,
        found_by=finding.by.name, found_at=local_time(finding.at, venue),
        record=str(finding.record_id or ""), cures=_cures(returned, venue),
        returned_by=returned.by_name, competence=returned.by_competence,
        returned_at=local_time(returned.at, venue), statement=returned.statement,
        second_person=SECOND,
        looked_after=tuple(check_done(record, unseen[record.pk]) for record in after),
        still_open=_still_open(order),
    )  # fmt: skip


def _cures(returned: ReturnToService, venue: Venue) -> tuple[Cure, ...]:
    """Every remedy up to the return, with what shows it."""
    numbers = count(1)
    rows = returned.order.finding.remedies.filter(at__lte=returned.at).select_related("by")
    return tuple(
        Cure(remedy.what, remedy.by.name, local_time(remedy.at, venue), _evidence(remedy, numbers))
        for remedy in rows.prefetch_related("files__kept_file")
    )


def _evidence(remedy: Remedy, numbers: Iterator[int]) -> tuple[Evidence, ...]:
    return tuple(
        Evidence(
            next(numbers), file.kept_file.name, file.kept_file.media_type,
            file.kept_file.shown_sha256, file.kept_file.sha256,
        )
        for file in remedy.files.all()
    )  # fmt: skip


def _records_after(returned: ReturnToService) -> list[Record]:
    """Checks of the same equipment from the remedy to the end of the day of the return."""
    order = returned.order
    rows = Record.objects.filter(equipment=order.equipment, at__gte=returned.remedy.at)
    rows = rows.filter(done_on__lte=local_day(returned.at, order.venue))
    return list(
        rows.select_related("version", "equipment", "task").prefetch_related("amended_by")
        .order_by("done_on", "at")
    )  # fmt: skip


def _next_due(order: Order) -> date | None:
    """Of any check of this equipment."""
    rows = Task.objects.filter(equipment=order.equipment, state=Task.State.OPEN)
    return rows.order_by("due_on").values_list("due_on", flat=True).first()


def _still_open(order: Order) -> tuple[str, ...]:
    rows = Order.objects.filter(equipment=order.equipment, returned__isnull=True)
    return tuple(
        f"{one.what_begins} from {day_words(one.bites_on)}: {one.why}"
        for one in rows.order_by("bites_on", "pk")
    )
