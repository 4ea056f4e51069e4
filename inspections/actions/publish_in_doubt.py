"""Nothing is published over a calendar in doubt, or with too few people for a task, unless somebody
says in words why."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from inspections.models import YearPlan
from inspections.queries.calendar_doubts import Doubt, calendar_doubts
from inspections.queries.check_year_plan import Checked
from inspections.queries.crew_doubts import crew_doubts


class InDoubt(ValueError):
    """What is booked may not be what the plan was made from, or a task has too few people, and nobody
    has said why it is published all the same."""

    def __init__(self, doubts: list[Doubt]) -> None:
        self.doubts = doubts
        super().__init__(" ".join(doubt.words for doubt in doubts))


def said_in_doubt(
    year_plan: YearPlan, checked: Checked, although: str, at: datetime
) -> dict[str, Any]:
    """What the log is told of the doubts that stand; empty where none does. Raises InDoubt."""
    doubts = calendar_doubts(year_plan.venue, year_plan.first_day, year_plan.last_day, at)
    doubts += crew_doubts(year_plan, checked)
    if doubts and not although.strip():
        raise InDoubt(doubts)
    if not doubts:
        return {}
    return {"in_doubt": [doubt.words for doubt in doubts], "although": although.strip()}
