"""Record a remedy with its evidence; return equipment to service by a second competent person."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import IntegrityError, transaction

from inspections.actions.open_finding import ONE_TAP
from inspections.models import Finding, Order, Remedy, RemedyFile, ReturnToService
from venue.actions.keep_file import Upload, keep_document, keep_photograph
from venue.actions.log import write_line
from venue.models import KeptFile, Person
from venue.queries.people import standing_of


class RemedyRefused(ValueError):
    """Says what the remedy lacks."""


class ReturnRefused(ValueError):
    """Says why this person cannot return the equipment now."""


def record_remedy(
    *, finding: Finding, what: str, evidence: Sequence[Upload], by: Person, at: datetime
) -> Remedy:
    """What was done, with at least one photograph or PDF that shows it."""
    if not what.strip():
        raise RemedyRefused(
            "Say what was done: what was replaced, adjusted, cleared, by which means."
        )
    if not evidence:
        raise RemedyRefused(
            "Add a photograph or a PDF that shows it. A remedy nobody can see proves nothing."
        )
    kept = [_keep(finding, upload, by, at) for upload in evidence]
    with transaction.atomic():
        Finding.objects.select_for_update().get(pk=finding.pk)  # two taps come one after the other
        just_now = finding.remedies.filter(by=by, what=what.strip(), at__gt=at - ONE_TAP).last()
        if just_now:
            return just_now
        remedy = Remedy.objects.create(finding=finding, what=what.strip(), by=by, at=at)
        RemedyFile.objects.bulk_create([RemedyFile(remedy=remedy, kept_file=file) for file in kept])
        after = {"what": remedy.what, "evidence": [file.sha256 for file in kept]}
        write_line(
            venue=finding.venue, by=by, at=at, did="record_remedy", subject=remedy, after=after
        )
    return remedy


def _keep(finding: Finding, upload: Upload, by: Person, at: datetime) -> KeptFile:
    keep = keep_document if (upload.name or "").lower().endswith(".pdf") else keep_photograph
    return keep(venue=finding.venue, upload=upload, by=by, at=at)


def return_to_service(*, order: Order, statement: str, by: Person, at: datetime) -> ReturnToService:
    """Lift an order. Needs a remedy with evidence, a statement of what was examined, and a person
    competent on that day who is not the one who did the remedy."""
    venue = order.venue
    remedy = order.finding.remedies.order_by("-at").first()
    if remedy is None or not remedy.files.exists():
        raise ReturnRefused("There is no remedy with evidence yet. Record what was done first.")
    if order.finding.remedies.filter(by=by).exists():
        raise ReturnRefused(
            "You did the remedy. A second competent person has to look at it and return it."
        )
    standing = standing_of(by, venue, "competent_person", at.astimezone(venue.zone).date())
    if not standing.may_sign:
        raise ReturnRefused(f"You cannot return this: {standing.words}. A competent person has to.")
    if not statement.strip():
        raise ReturnRefused("Say what you examined and what you found.")
    return _store(order, remedy, statement.strip(), standing.words, by, at)


def _store(
    order: Order, remedy: Remedy, statement: str, competence: str, by: Person, at: datetime
) -> ReturnToService:
    try:
        with transaction.atomic():
            returned = ReturnToService.objects.create(
                order=order, remedy=remedy, remedied_by=remedy.by, by=by, by_name=by.name,
                by_competence=competence[:300], statement=statement, at=at,
            )  # fmt: skip
            after = {"remedy": remedy.what, "remedied_by": remedy.by, "statement": statement}
            write_line(
                venue=order.venue,
                by=by,
                at=at,
                did="return_to_service",
                subject=returned,
                after=after,
            )
    except IntegrityError as fault:
        raise ReturnRefused(
            "This order was lifted already, by someone else a moment ago."
        ) from fault
    return returned
