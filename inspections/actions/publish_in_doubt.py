"""Nothing is published over a calendar in doubt unless somebody says in words why."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from inspections.models import YearPlan
from inspections.queries.calendar_doubts import Doubt, calendar_doubts


class InDoubt(ValueError):
    """What is booked may not be what the plan was made from, and nobody has said why it is published
    all the same."""

    def __init__(self, doubts: list[Doubt]) -> None:
        self.doubts = doubts
        super().__init__(" ".join(doubt.words for doubt in doubts))


def said_in_doubt(year_plan: YearPlan, although: str, at: datetime) -> dict[str, Any]:
    """What the log is told of the doubts that stand; empty where none does. Raises InDoubt."""
    doubts = calendar_doubts(year_plan.venue, year_plan.first_day, year_plan.last_day, at)
    if doubts and not although.strip():
        raise InDoubt(doubts)
    if not doubts:
        return {}
    return {"in_doubt": [doubt.words for doubt in doubts], "although": although.strip()}
