"""What was due and what was done in some days, as an auditor goes through it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from inspections.models import Record, Task
from inspections.queries import evidence
from inspections.queries.evidence import Span
from inspections.queries.evidence_rows import outcome_of
from inspections.sampling import drawn

OUTCOMES = ("done in time", "done late", "missed, still open", "open", "cancelled")


@dataclass(frozen=True)
class Audited:
    """A task, how it came out, and the record that closed it, where there is one."""

    task: Task
    outcome: str
    record: UUID | None


@dataclass(frozen=True)
class Days:
    """All tasks of the days, as a bundle of the same days has them in tasks.csv."""

    rows: list[Audited]

    @property
    def counts(self) -> list[tuple[str, int]]:
        found = Counter(row.outcome for row in self.rows)
        return [(outcome, found[outcome]) for outcome in OUTCOMES]

    def sample(self, seed: str, number: int) -> list[Audited]:
        by_name = {str(row.task.pk): row for row in self.rows}
        return [by_name[name] for name in drawn(by_name, seed, number)]


def days_of(span: Span, today: date) -> Days:
    tasks = list(evidence.tasks(span).select_related("equipment", "plan__version"))
    records = Record.objects.in_venue(span.venue).filter(task__isnull=False).order_by("at")
    closed_by = dict(records.values_list("task_id", "pk"))
    return Days([Audited(task, outcome_of(task, today), closed_by.get(task.pk)) for task in tasks])
