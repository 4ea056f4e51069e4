"""Notice that is given already: the published plan has told examiners and others its days.

A day of it that lies within the days of notice now was told in time, so whatever is planned anew
may use it. A visit or an isolation of which every task has got another day since is off.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta

from inspections.models import PlannedTask, Task
from inspections.planning.house import PER_DAY, SLOTS_A_DAY, Examiner, SetUp, day_of
from inspections.queries.agreed_tasks import slot_of
from inspections.queries.planning_people import Span
from inspections.queries.work_of_plans import Needed

MOST_SAID = 6


@dataclass(frozen=True)
class NoticeGiven:
    """The half-days of the span in which the published plan has a visit of each trade, and each
    thing made ready, by the planner's key of it."""

    visits: Mapping[str, frozenset[int]]
    made: Mapping[str, frozenset[int]]

    def visit_days(self) -> dict[str, frozenset[int]]:
        return {trade: frozenset(map(day_of, slots)) for trade, slots in self.visits.items()}

    def told(self, set_ups: Mapping[str, SetUp]) -> dict[str, SetUp]:
        """The set-ups with what is arranged of each."""
        return {key: replace(made, arranged=self._units(made)) for key, made in set_ups.items()}

    def _units(self, made: SetUp) -> frozenset[int]:
        slots = self.made.get(made.key, frozenset())
        return frozenset(map(day_of, slots)) if made.per == PER_DAY else slots


def notice_given(
    published: Iterable[PlannedTask], needed: Iterable[Needed], span: Span
) -> NoticeGiven:
    """`published`: the tasks of the plan in force within the span. Of a plan that has ended since
    nothing is needed any more."""
    work_of = {each.plan.pk: each for each in needed}
    visits: dict[str, set[int]] = {}
    made: dict[str, set[int]] = {}
    for row in published:
        work, begin = work_of.get(row.plan_id), slot_of(row, span)
        if work and _stands(row, span):
            slots = range(begin, begin + row.half_days)
            visits.setdefault(row.examiner, set()).update(slots)
            for key, kind in work.set_ups.items():
                if kind.per == PER_DAY or not _other_half(row, span):
                    made.setdefault(key, set()).update(slots)
    return NoticeGiven(
        {trade: frozenset(slots) for trade, slots in visits.items() if trade},
        {key: frozenset(slots) for key, slots in made.items()},
    )


def _stands(row: PlannedTask, span: Span) -> bool:
    """What has been is over; what is to come stands while its task is to be done on that day."""
    if row.day <= span.today or row.task is None:
        return True
    return row.task.state == Task.State.OPEN and row.task.planned_on == row.day


def _other_half(row: PlannedTask, span: Span) -> bool:
    """Whether a person has set the other half of its day since: then nothing is made ready for it
    in the half that was told."""
    if row.day <= span.today or row.task is None:
        return False
    return row.task.half not in ("", row.half)


def taken_as_arranged(
    examiners: Mapping[str, Examiner], set_ups: Mapping[str, SetUp], given: NoticeGiven, span: Span
) -> Iterator[str]:
    """What is planned on only because the published plan has told it, in one sentence."""
    today = span.number(span.today)
    days = [
        (day, f"examiner ({trade})")
        for trade, visits in given.visit_days().items()
        if trade in examiners
        for day in visits & examiners[trade].arranged
        if today <= day < examiners[trade].notice_days
    ]
    slots = [
        (_day_of(made, unit), key)
        for key, made in set_ups.items()
        for unit in made.arranged
        if today <= _day_of(made, unit) < made.notice_days
    ]
    said = [
        f"{span.first_day + timedelta(days=day):%-d %B %Y}, {what}"
        for day, what in sorted({*days, *slots})
    ]
    if said:
        yield (
            "Taken as arranged, because the published plan has it and its notice has begun: "
            f"{'; '.join(said[:MOST_SAID])}."
        )
    if more := len(said[MOST_SAID:]):
        one, many = (
            "So is 1 more day of the published plan.",
            f"So are {more} more days of the published plan.",
        )
        yield one if more == 1 else many


def _day_of(made: SetUp, unit: int) -> int:
    return unit if made.per == PER_DAY else unit // SLOTS_A_DAY
