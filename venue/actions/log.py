"""Write one log line, inside the caller's transaction."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.db import models, transaction

from venue.log_hash import canonical, line_hash
from venue.models import LogHead, LogLine, Person, Venue


class LineOutsideTransaction(RuntimeError):
    """A log line must be written in the transaction of the change it tells of."""


def write_line(
    *,
    venue: Venue,
    by: Person | None,
    at: datetime,
    did: str,
    subject: models.Model,
    before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> LogLine:
    """Append to the venue's log. The head row is locked last, so lines have one order."""
    if not transaction.get_connection().in_atomic_block:
        raise LineOutsideTransaction(f"{did} was about to be logged outside a transaction")
    head, _ = LogHead.objects.select_for_update().get_or_create(venue=venue)
    line = _line(head, venue, by, at, did, subject, before, after)
    line.save(force_insert=True)
    LogHead.objects.filter(pk=head.pk).update(size=line.number, sha256=line.sha256)
    return line


def _line(head, venue, by, at, did, subject, before, after) -> LogLine:
    name = f"{subject._meta.label_lower} {subject.pk}"
    body = canonical(
        {
            "number": head.size + 1,
            "at": at.astimezone(UTC).isoformat(),
            "by": by.name if by else "Loftbook (by itself)",
            "did": did,
            "subject": name,
            "label": str(subject)[:300],
            "before": frozen(before),
            "after": frozen(after),
        }
    )
    return LogLine(
        venue=venue,
        number=head.size + 1,
        at=at,
        by=by,
        by_name=by.name if by else "Loftbook (by itself)",
        did=did,
        subject=name,
        label=str(subject)[:300],
        body=body,
        previous_sha256=head.sha256,
        sha256=line_hash(head.sha256, body),
    )


def frozen(values: dict[str, Any] | None) -> dict[str, Any] | None:
    """Values as text, lists and maps only: numbers become text, so nothing is rounded."""
    return None if values is None else {str(key): _frozen(value) for key, value in values.items()}


def _frozen(value: Any) -> Any:
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, dict):
        return frozen(value)
    if isinstance(value, list | tuple):
        return [_frozen(item) for item in value]
    if isinstance(value, datetime):
        return value.isoformat()
    return str(value)
