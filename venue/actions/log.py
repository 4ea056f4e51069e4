"""Write log lines, inside the caller's transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.db import models, transaction

from venue.actions.log_names import NamesInLog, reference_of_writer
from venue.log_hash import canonical
from venue.merkle import Frontier, frontier_from, leaf_hash
from venue.models import LogHead, LogLine, Person, Venue
from venue.person_references import TextAbout


class LineOutsideTransaction(RuntimeError):
    """A log line must be written in the transaction of the change it tells of."""


BY_ITSELF = "Loftbook (by itself)"
Name = Callable[[Person | TextAbout], str]


@dataclass(frozen=True)
class Deed:
    """What one line will say. Of a person or a TextAbout it says the reference, never the name."""

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
    heads = LogHead.objects.select_for_update().annotate(writer=reference_of_writer(by))
    head, _ = heads.get_or_create(venue=venue)
    names = NamesInLog(venue, at)
    if by and getattr(head, "writer", None):
        names.learn(by, head.writer)
    tree = frontier_from(head.size, head.frontier)
    lines = [_line(tree, venue, by, at, deed, names.reference) for deed in deeds]
    LogLine.objects.bulk_create(lines, batch_size=500)
    LogHead.objects.filter(pk=head.pk).update(
        size=tree.size, root=tree.root().hex(), frontier=tree.hex()
    )
    return lines


def _line(
    tree: Frontier, venue: Venue, by: Person | None, at: datetime, deed: Deed, name: Name
) -> LogLine:
    subject = f"{deed.subject._meta.label_lower} {deed.subject.pk}"
    label = _label(deed.subject, name)[:300]
    by_name = name(by) if by else BY_ITSELF
    number = tree.size + 1
    body = canonical(
        {
            "number": number,
            "at": at.astimezone(UTC).isoformat(),
            "by": by_name,
            "did": deed.did,
            "subject": subject,
            "label": label,
            "before": frozen(deed.before, name),
            "after": frozen(deed.after, name),
        }
    )
    leaf = leaf_hash(body.encode())
    tree.add(leaf)
    return LogLine(
        venue=venue, number=number, at=at, by=by, by_name=by_name, did=deed.did,
        subject=subject, label=label, body=body, sha256=leaf.hex(),
    )  # fmt: skip


def _label(subject: models.Model, name: Name) -> str:
    """Of what tells of a person: with the reference where the name would stand."""
    said_in_log = getattr(subject, "said_in_log", None)
    return str(subject) if said_in_log is None else str(said_in_log(name))


def frozen(values: dict[str, Any] | None, name: Name) -> dict[str, Any] | None:
    """Values as text, lists and maps only: numbers become text, so nothing is rounded."""
    if values is None:
        return None
    return {str(key): _frozen(value, name) for key, value in values.items()}


def _frozen(value: Any, name: Name) -> Any:
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, Person | TextAbout):
        return name(value)
    if isinstance(value, dict):
        return frozen(value, name)
    if isinstance(value, list | tuple):
        return [_frozen(item, name) for item in value]
    if isinstance(value, datetime):
        return value.isoformat()
    return str(value)
