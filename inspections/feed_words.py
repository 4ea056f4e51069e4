"""What a task says in a calendar. Pure."""

from __future__ import annotations

import hashlib
from dataclasses import astuple, dataclass
from datetime import date

CAUTION = (
    "A calendar is no permission: look at the stage before anybody works on it or above it. "
    "A decision aid for competent people. The manufacturer's instructions, local codes and "
    "licensed or competent persons come first."
)
STATES = {"done": "Done", "cancelled": "Cancelled"}


@dataclass(frozen=True)
class TaskSaid:
    """A task as far as a calendar shows it."""

    day: date
    summary: str
    description: str
    location: str
    cancelled: bool

    def sha256(self) -> str:
        """Another value whenever something shows otherwise."""
        told = "\n".join(str(each) for each in astuple(self))
        return hashlib.sha256(told.encode()).hexdigest()


@dataclass(frozen=True)
class TaskFacts:
    what: str
    equipment: str
    place: str
    level: str
    person: str
    planned_on: date
    due_on: date
    last_lawful_on: date
    state: str
    done_on: date | None
    address: str


def said_of(task: TaskFacts) -> TaskSaid:
    """The day it is planned for, or was done on, and what there is to know."""
    mark = f"{STATES[task.state]}: " if task.state in STATES else ""
    lines = [
        f"{task.what}: {task.equipment}, {task.place}.",
        f"Who may: {task.level.lower()}.{_given(task)}",
        f"Due {_day(task.due_on)}; last lawful day {_day(task.last_lawful_on)}.",
        *([f"Done on {_day(task.done_on)}."] if task.done_on else []),
        *(["Cancelled: the reason stands on its page."] if task.state == "cancelled" else []),
        f"Its page: {task.address}",
        CAUTION,
    ]
    return TaskSaid(
        day=task.done_on or task.planned_on,
        summary=f"{mark}{task.equipment}: {task.what}",
        description="\n".join(lines),
        location=task.place,
        cancelled=task.state == "cancelled",
    )


def _given(task: TaskFacts) -> str:
    if task.person:
        return f" Given to {task.person}."
    return " Given to nobody yet." if task.state == "open" else ""


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"
