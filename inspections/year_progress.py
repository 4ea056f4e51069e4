"""How far the search for a plan has come. The search tells, another thread looks. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from inspections.planning.outcome import Progress

FIRST, SEARCHING, EXPLAINING = "reading the house", "searching", "looking for what would free it"


class PlanProgress:
    """The best plan so far with its figures; `told` is for the row of the job."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.now = FIRST
        self.first_seconds: float | None = None
        self._latest: Progress | None = None
        self._numbers: Mapping[str, int] = {}

    def listen_for(self, numbers: Mapping[str, int]) -> Callable[[Progress], None]:
        """The listener of a search. `numbers`: by the planner's key, the number of the plan."""
        self._numbers, self.now = numbers, SEARCHING

        def listen(progress: Progress) -> None:
            if self.first_seconds is None:
                self.first_seconds = progress.seconds
            self._latest = progress

        return listen

    def told(self) -> dict[str, Any]:
        """Figures and tasks of the best plan so far; nothing of them before the first."""
        said: dict[str, Any] = {"now": self.now, "of": round(self.seconds)}
        latest = self._latest
        if latest is None:
            return said
        judged = latest.evaluation
        return said | {
            "first_s": round(self.first_seconds or 0.0, 2),
            "done": min(round(latest.seconds), round(self.seconds)),
            "aim": latest.aim,
            "bound": latest.bound,
            "late_days": judged.late_days,
            "moved": judged.moved,
            "cost": judged.cost,
            "visit_days": judged.visit_days,
            "set_ups": judged.set_up_count,
            "tasks": [[self._numbers[task.plan], task.slot] for task in latest.tasks],
        }
