"""Write many log lines at once: the same chain as one by one, in a few statements."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import models, transaction

from venue.actions.log import LineOutsideTransaction, _line
from venue.models import LogHead, LogLine, Person, Venue


@dataclass(frozen=True)
class Deed:
    """What one line will say."""

    did: str
    subject: models.Model
    before: dict[str, Any] | None = None
    after: dict[str, Any] | None = None


def write_lines(*, venue: Venue, by: Person | None, at: datetime, deeds: Iterable[Deed]) -> None:
    """Append one line per deed, in their order, inside the caller's transaction."""
    if not transaction.get_connection().in_atomic_block:
        raise LineOutsideTransaction("Log lines were about to be written outside a transaction")
    head, _ = LogHead.objects.select_for_update().get_or_create(venue=venue)
    lines: list[LogLine] = []
    for deed in deeds:
        line = _line(head, venue, by, at, deed.did, deed.subject, deed.before, deed.after)
        head.size, head.sha256 = line.number, line.sha256
        lines.append(line)
    LogLine.objects.bulk_create(lines, batch_size=500)
    LogHead.objects.filter(pk=head.pk).update(size=head.size, sha256=head.sha256)
