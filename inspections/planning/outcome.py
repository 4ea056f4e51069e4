"""What is asked of the planner and what comes of it. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from inspections.planning.evaluate import Evaluation
from inspections.planning.house import Task

LATE, MOVED, COST, LEVEL = "late", "moved", "cost", "level"
STAGES = (LATE, MOVED, COST, LEVEL)


@dataclass(frozen=True)
class Options:
    """How long and how.

    Workers search in different ways, so eight pay off even on two cores. A repeatable plan is
    counted in steps and the solver's own time, with one worker: the same house, seed and options
    then give the same plan on any clock.
    """

    seconds: float = 60.0
    workers: int = 8
    seed: int = 1
    repeatable: bool = False
    memory_mb: int = 2000


@dataclass(frozen=True)
class Stage:
    """The best value of one aim and what is proven about it."""

    aim: str
    value: int
    bound: int

    @property
    def gap(self) -> float:
        """How far the value may be from the best there is, as a share of the value.

        >>> Stage("cost", 200, 190).gap
        0.05
        """
        return max(0, self.value - self.bound) / self.value if self.value > 0 else 0.0


@dataclass(frozen=True)
class Progress:
    """A better plan while the search goes on."""

    tasks: tuple[Task, ...]
    evaluation: Evaluation
    seconds: float
    aim: str
    bound: int


@dataclass(frozen=True)
class Outcome:
    """The plan, its judgement, and the proven bound of each aim."""

    tasks: tuple[Task, ...]
    evaluation: Evaluation
    stages: tuple[Stage, ...]
    first_seconds: float
    seconds: float

    def stage(self, aim: str) -> Stage:
        return next(stage for stage in self.stages if stage.aim == aim)


Listener = Callable[[Progress], None]
