"""Keep in the log which tasks an auditor drew, and by which seed."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from inspections.queries.audit import Audited
from inspections.queries.evidence import Span
from venue.actions.log import write_line
from venue.models import Person


@transaction.atomic
def draw_sample(
    *, span: Span, seed: str, of: int, sample: list[Audited], by: Person, at: datetime
) -> None:
    """`of`: how many tasks it was drawn from."""
    after = {
        "from": span.start, "to": span.end, "seed": seed, "of": of,
        "tasks": [row.task.pk for row in sample],
    }  # fmt: skip
    write_line(
        venue=span.venue, by=by, at=at, did="draw_sample", subject=span.venue, after=after
    )  # fmt: skip
