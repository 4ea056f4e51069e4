"""How far the search for a plan has come. The search tells, another thread looks. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from inspections.planning.evaluate import Evaluation
from inspections.planning.outcome import COST, LATE, LEVEL, MOVED, Progress, Stage
from inspections.year_figures import stage_of

FIRST, SEARCHING, EXPLAINING = "reading the house", "searching", "looking for what would free it"


class PlanProgress:
    """The best plan so far with its figures; `told` is for the row of the job."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.now = FIRST
        self.first_seconds: float | None = None
        self._latest: Progress | None = None
        self._numbers: Mapping[str, int] = {}
        self._already: dict[str, int] = {}

    def listen_for(
        self, numbers: Mapping[str, int], late_already: Mapping[str, int] | None = None
    ) -> Callable[[Progress], None]:
        """The listener of a search. `numbers`: by the planner's key, the number of the plan."""
        self._numbers, self.now = numbers, SEARCHING
        self._already = dict(late_already or {})

        def listen(progress: Progress) -> None:
            if self.first_seconds is None:
                self.first_seconds = progress.seconds
            self._latest = progress

        return listen

    def told(self) -> dict[str, Any]:
        """Figures and tasks of the best plan so far; nothing of them before the first."""
        said: dict[str, Any] = {"now": self.now, "of": round(self.seconds)}
        said["searched"] = self.now == EXPLAINING
        latest = self._latest
        if latest is None:
            return said
        judged = latest.evaluation
        return said | {
            "first_s": round(self.first_seconds or 0.0, 2),
            "done": min(round(latest.seconds), round(self.seconds)),
            **stage_of(Stage(latest.aim, value_of(judged, latest.aim), latest.bound)),
            "late_already": self._already,
            "late_days": judged.late_days,
            "moved": judged.moved,
            "cost": judged.cost,
            "visit_days": judged.visit_days,
            "set_ups": judged.set_up_count,
            "tasks": [[self._numbers[task.plan], task.slot] for task in latest.tasks],
        }


def value_of(judged: Evaluation, aim: str) -> int:
    """What a plan comes to in the figure that is being improved."""
    values = {
        LATE: judged.late_days, MOVED: judged.moved, COST: judged.cost, LEVEL: judged.level,
    }  # fmt: skip
    return values[aim]
