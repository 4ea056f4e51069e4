"""Write log lines, inside the caller's transaction."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.db import models, transaction

from venue.log_hash import canonical
from venue.merkle import Frontier, frontier_from, leaf_hash
from venue.models import LogHead, LogLine, Person, Venue


class LineOutsideTransaction(RuntimeError):
    """A log line must be written in the transaction of the change it tells of."""


@dataclass(frozen=True)
class Deed:
    """What one line will say."""

    did: str
    subject: models.Model
    before: dict[str, Any] | None = None
    after: dict[str, Any] | None = None


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
    """Append one line to the venue's log."""
    deed = Deed(did, subject, before, after)
    return write_lines(venue=venue, by=by, at=at, deeds=[deed])[0]


def write_lines(
    *, venue: Venue, by: Person | None, at: datetime, deeds: Iterable[Deed]
) -> list[LogLine]:
    """Append one line per deed, in their order. The head row is locked last of all the caller's
    rows, so lines have one order."""
    if not transaction.get_connection().in_atomic_block:
        raise LineOutsideTransaction("Log lines were about to be written outside a transaction")
    head, _ = LogHead.objects.select_for_update().get_or_create(venue=venue)
    tree = frontier_from(head.size, head.frontier)
    lines = [_line(tree, venue, by, at, deed) for deed in deeds]
    LogLine.objects.bulk_create(lines, batch_size=500)
    LogHead.objects.filter(pk=head.pk).update(
        size=tree.size, root=tree.root().hex(), frontier=tree.hex()
    )
    return lines


def _line(tree: Frontier, venue: Venue, by: Person | None, at: datetime, deed: Deed) -> LogLine:
    subject = f"{deed.subject._meta.label_lower} {deed.subject.pk}"
    label = str(deed.subject)[:300]
    by_name = by.name if by else "Loftbook (by itself)"
    number = tree.size + 1
    body = canonical(
        {
            "number": number,
            "at": at.astimezone(UTC).isoformat(),
            "by": by_name,
            "did": deed.did,
            "subject": subject,
            "label": label,
            "before": frozen(deed.before),
            "after": frozen(deed.after),
        }
    )
    leaf = leaf_hash(body.encode())
    tree.add(leaf)
    return LogLine(
        venue=venue, number=number, at=at, by=by, by_name=by_name, did=deed.did,
        subject=subject, label=label, body=body, sha256=leaf.hex(),
    )  # fmt: skip


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
