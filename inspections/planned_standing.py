"""How a planned task stands on a day: what became of it since it was planned. Pure, but for the rows
that it is given.

A plan that is kept never changes, so its own dates tell how it was meant. What holds is told by the
dated task that it stands for: whether that is done, and until when it is lawful now.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from inspections.board_grid import HALVES
from inspections.planning.wording import counted_words

if TYPE_CHECKING:
    from inspections.models import PlannedTask

LATE, PAST, DONE, CANCELLED, OPEN = "late", "past its planned day", "done", "cancelled", "open"
CLOSED = (DONE, CANCELLED)


@dataclass(frozen=True)
class Standing:
    """`late_days`: from its last lawful day to the day it is planned for or was done on. `words`: what
    there is to say beside that it is planned."""

    state: str
    lawful_on: date
    late_days: int
    words: tuple[str, ...]


def standing_of(
    planned: PlannedTask, today: date, *, published: bool, waits: bool = False
) -> Standing:
    """`waits`: an earlier task of its plan is still open. Until that is done its dated task only has a
    date counted from a due day; the plan knows better when it will be done."""
    lawful, state = _lawful_on(planned, waits), _closed(planned)
    if state == CANCELLED:
        return Standing(state, lawful, 0, ("cancelled",))
    day = _ends_on(planned, published)
    late = max(0, (day - lawful).days)
    if not state and (lawful, day) == (planned.last_lawful_on, _meant_to_end(planned)):
        late = planned.late_days  # nothing has changed since it was planned
    if state == DONE:
        after = (f"{counted_words(late, 'day')} late",) if late else ()
        return Standing(state, lawful, late, (f"done on {_day(day)}", *after))
    state = LATE if late or lawful < today else PAST if day < today else OPEN
    return Standing(state, lawful, late, tuple(_told(planned, lawful, late, day, today, published)))


def _closed(planned: PlannedTask) -> str:
    return planned.task.state if planned.task and planned.task.state in CLOSED else ""


def _lawful_on(planned: PlannedTask, waits: bool) -> date:
    task = planned.task
    if task is None or (waits and planned.plan.counting != planned.plan.Counting.ANCHORED):
        return planned.last_lawful_on
    return task.last_lawful_on


def _ends_on(planned: PlannedTask, published: bool) -> date:
    """The day on which it is over: done, or as it is planned now."""
    task = planned.task
    if task and task.done_on:
        return task.done_on
    if task and published:
        return task.planned_on + (_meant_to_end(planned) - planned.day)
    return _meant_to_end(planned)


def _meant_to_end(planned: PlannedTask) -> date:
    return planned.day + timedelta(days=(HALVES.index(planned.half) + planned.half_days - 1) // 2)


def _told(
    planned: PlannedTask, lawful: date, late: int, day: date, today: date, published: bool
) -> Iterator[str]:
    if late:
        yield f"{counted_words(late, 'day')} late"
    elif lawful < today:
        yield "late: its last lawful day is past"
    if lawful != planned.last_lawful_on:
        yield f"lawful until {_day(lawful)} now"
    if published and planned.task and planned.task.planned_on != planned.day:
        yield f"now planned for {_day(planned.task.planned_on)}"
    if day < today and lawful >= today:
        yield "its planned day is past"


def _day(day: date) -> str:
    return f"{day:%-d %B %Y}"
