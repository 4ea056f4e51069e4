"""Where a planned task may go: what the evaluator would find wrong with the plan after the move."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from inspections.models import PlannedTask
from inspections.planning.evaluate import Evaluation
from inspections.planning.wording import counted_words
from inspections.queries.check_year_plan import Checked, slot_at
from inspections.year_figures import faults_in_words


@dataclass(frozen=True)
class Breaks:
    """Sentences: faults that no plan may have, and what would be late or later."""

    faults: list[str]
    late: list[str]

    @property
    def lawful(self) -> bool:
        return not (self.faults or self.late)


def what_a_move_breaks(
    checked: Checked,
    planned: PlannedTask,
    day: date,
    half: str,
    known_late: Mapping[str, int] | None = None,
) -> Breaks:
    """Nothing in either list: the move is lawful and nothing becomes later than it is, or than
    `known_late` says."""
    number = checked.found.span.number(day)
    if not 0 <= number < checked.found.span.days:
        return Breaks([f"{day:%-d %B %Y} is not within this plan."], [])
    if planned.plan_id not in checked.found.keys:
        return Breaks(["Its regime has ended since. Plan again."], [])
    then = checked.with_moved(planned, slot_at(planned.year_plan, number, half))
    known, house = set(checked.judged.faults), checked.found.house
    faults = faults_in_words(house, (f for f in then.faults if f not in known))
    return Breaks(
        [f"{fault[0].upper()}{fault[1:]}." for fault in faults],
        _later(checked, then, known_late or {}),
    )


def _later(checked: Checked, then: Evaluation, known: Mapping[str, int]) -> list[str]:
    before = checked.judged.late
    return [
        f"{key} would be {counted_words(days - before.get(key, 0), 'day')} later than is lawful."
        for key, days in sorted(then.late.items())
        if days > max(before.get(key, 0), known.get(key, 0))
    ]
