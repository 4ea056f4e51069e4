from __future__ import annotations

from django.db.models import QuerySet

from inspections.models import Answer, Record


def answers_of(record: Record) -> QuerySet[Answer]:
    """Every answer with readings, judgements and photographs, in a fixed number of queries."""
    return record.answers.select_related("part", "observation").prefetch_related(
        "readings", "judgements", "photos__kept_file", "findings"
    )
