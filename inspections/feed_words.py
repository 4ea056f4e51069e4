"""What a task says in a calendar. Pure."""

from __future__ import annotations

import hashlib
from dataclasses import astuple, dataclass
from datetime import date, datetime

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
    times: tuple[datetime, datetime] | None = None  # from when until when; none: the whole day

    def sha256(self) -> str:
        """Another value whenever something shows otherwise."""
        told = "\n".join(str(each) for each in astuple(self) if each is not None)
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
    half: str = ""  # as people say it
    times: tuple[datetime, datetime] | None = None  # of that half, where the house says its hours
    helpers: tuple[str, ...] = ()


def said_of(task: TaskFacts) -> TaskSaid:
    """The day it is planned for, or was done on, and what there is to know. Where a calendar cannot
    show the half-day as hours, its words stand in the summary."""
    mark = f"{STATES[task.state]}: " if task.state in STATES else ""
    half, times = ("", None) if task.done_on else (task.half, task.times)
    said_there = f" ({half})" if half and not times else ""
    lines = [
        f"{task.what}: {task.equipment}, {task.place}.",
        f"Who may: {task.level.lower()}.{_people(task)}",
        f"Due {_day(task.due_on)}; last lawful day {_day(task.last_lawful_on)}.",
        *([f"Half-day: {half}."] if half else []),
        *([f"Done on {_day(task.done_on)}."] if task.done_on else []),
        *(["Cancelled: the reason stands on its page."] if task.state == "cancelled" else []),
        f"Its page: {task.address}",
        CAUTION,
    ]
    return TaskSaid(
        day=task.done_on or task.planned_on,
        summary=f"{mark}{task.equipment}: {task.what}{said_there}",
        description="\n".join(lines),
        location=task.place,
        cancelled=task.state == "cancelled",
        times=times,
    )


def _given(task: TaskFacts) -> str:
    if task.person:
        return f" Given to {task.person}."
    return " Given to nobody yet." if task.state == "open" else ""


def _people(task: TaskFacts) -> str:
    helped = f" Working with them: {', '.join(task.helpers)}." if task.helpers else ""
    return _given(task) + helped


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"
