"""What came of planning a year, as figures and sentences that are kept with the plan. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from inspections.late_already import late_already
from inspections.planning.evaluate import Evaluation
from inspections.planning.house import House, Task
from inspections.planning.outcome import Stage
from inspections.planning.wording import day_words, slot_words
from inspections.year_budget import paid_by_year

NUMBERED = re.compile(r"\b(half-day|day) (\d+)\b")
QUARTERS_AN_HOUR = 4


@dataclass(frozen=True)
class Made:
    """A finished plan, however it was made."""

    tasks: tuple[Task, ...]
    evaluation: Evaluation
    stages: tuple[Stage, ...] = ()
    how: str = "quick"  # or "searched"
    first_seconds: float = 0.0
    seconds: float = 0.0
    peak_mb: int = 0
    baselines: dict[str, Evaluation] = field(default_factory=dict)
    contradiction: dict[str, Any] | None = None


def outcome_of(house: House, made: Made) -> dict[str, Any]:
    """The JSON that is kept with the plan."""
    return {
        "how": made.how,
        "figures": figures_of(made.evaluation),
        "late": made.evaluation.late,
        "known_late": made.evaluation.late,  # what it may be late by when it is published
        "late_already": late_already(house),
        "paid": paid_by_year(house, made.tasks),
        "faults": faults_in_words(house, made.evaluation.faults),
        "stages": [stage_of(stage) for stage in made.stages],
        "first_s": round(made.first_seconds, 2),
        "wall_s": round(made.seconds, 1),
        "peak_mb": made.peak_mb,
        "baselines": {name: figures_of(each) for name, each in made.baselines.items()},
        "contradiction": made.contradiction,
    }


def figures_of(judged: Evaluation) -> dict[str, Any]:
    """Money in the smallest coin, time in hours."""
    return {
        "late_days": judged.late_days,
        "moved": judged.moved,
        "cost": judged.cost,
        "level": judged.level,
        "visit_days": judged.visit_days,
        "set_ups": judged.set_up_count,
        "overtime_h": judged.overtime_quarters / QUARTERS_AN_HOUR,
        "over_target_h": judged.over_target_quarters / QUARTERS_AN_HOUR,
        "tight_days": judged.tight_days,
        "tasks": judged.executions,
        "parts": judged.parts,
    }


def stage_of(stage: Stage) -> dict[str, Any]:
    return {
        "aim": stage.aim, "value": stage.value, "bound": stage.bound, "gap": round(stage.gap, 4),
    }  # fmt: skip


def faults_in_words(house: House, faults: Iterable[str]) -> list[str]:
    """Days and half-days as people write them, where the planner counts them.

    >>> from datetime import date
    >>> house = House(date(2027, 3, 1), (frozenset(),) * 8, ())
    >>> faults_in_words(house, ["W1: half-day 5 lacks stage clear", "3 quarter-hours are missing"])
    ['W1: 3 March 2027, afternoon lacks stage clear', '3 quarter-hours are missing']
    """

    def words(found: re.Match[str]) -> str:
        number = int(found.group(2))
        return (
            slot_words(house, number) if found.group(1) == "half-day" else day_words(house, number)
        )

    return [NUMBERED.sub(words, fault) for fault in faults]
