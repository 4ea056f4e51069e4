"""What the planner is told and what it gives back. Pure.

Days are numbered from the first day of the horizon, which is 0; earlier days are negative. A day
has two half-days; slot 2 * day is its morning, slot 2 * day + 1 its afternoon. Time of people is
counted in quarter-hours, money in the smallest coin.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Literal, NamedTuple

from inspections.calendar_rules import Interval

SLOTS_A_DAY = 2
PER_HALF_DAY, PER_DAY = "half-day", "day"

NO_SLACK = Interval()

ZoneUse = tuple[str, str]
"""A zone of the house and the mode of being in it: ("stage", "people below")."""


class Task(NamedTuple):
    """One plan carried out, beginning in a half-day."""

    plan: str
    slot: int


@dataclass(frozen=True)
class Need:
    """Quarter-hours of people with a competence, in each half-day that the task takes."""

    competence: str
    quarters: int
    people: int = 1


@dataclass(frozen=True)
class DueDay:
    """One due day of a plan that counts from a fixed day."""

    opens: int
    due: int
    last_lawful: int


@dataclass(frozen=True)
class Plan:
    """A regime on a piece of equipment. With `due_days` it counts from a fixed day, else from the
    day it was last done; then `first_due` and `first_lawful` are those of its next task.
    `early_days` before the due day cost nothing; each day before those costs `early_price`.
    """

    key: str
    kind: str
    interval: Interval
    first_due: int = 0
    first_lawful: int = 0
    due_days: tuple[DueDay, ...] = ()
    slack: Interval = NO_SLACK
    early_days: int = 0
    early_price: int = 0
    price: int = 0
    duration: int = 1
    needs: tuple[Need, ...] = ()
    examiner: str = ""
    examiner_quarters: int = 0
    access: frozenset[str] = frozenset()
    zones: frozenset[ZoneUse] = frozenset()
    set_ups: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Competence:
    """What a person may do, and on which days that holds."""

    name: str
    first: int
    last: int


@dataclass(frozen=True)
class Person:
    """Quarter-hours by half-day, at the ordinary price and beyond it."""

    key: str
    competences: tuple[Competence, ...]
    quarters: tuple[int, ...]
    overtime: tuple[int, ...] = ()

    def may(self, competence: str, day: int) -> bool:
        return any(c.name == competence and c.first <= day <= c.last for c in self.competences)


@dataclass(frozen=True)
class Examiner:
    """An outside examiner's trade: days offered, days already arranged, notice and fee a day."""

    trade: str
    day_fee: int
    quarters_a_day: int
    days: frozenset[int]
    notice_days: int = 0
    arranged: frozenset[int] = frozenset()

    def comes(self, day: int) -> bool:
        return day in self.arranged or (day in self.days and day >= self.notice_days)


@dataclass(frozen=True)
class SetUp:
    """Something made ready once and shared by all that need it in the half-day or the day.
    `arranged`: the days, or where it is made per half-day the half-days, of which notice is given
    already.
    """

    key: str
    per: Literal["half-day", "day"]
    price: int
    notice_days: int = 0
    arranged: frozenset[int] = frozenset()

    def in_time(self, slot: int) -> bool:
        """Whether notice of a half-day is given already, or can still be."""
        day = day_of(slot)
        return day >= self.notice_days or (day if self.per == PER_DAY else slot) in self.arranged


@dataclass(frozen=True)
class House:
    """Everything a year of inspections depends on."""

    first_day: date
    access: tuple[frozenset[str], ...]
    plans: tuple[Plan, ...]
    people: tuple[Person, ...] = ()
    examiners: Mapping[str, Examiner] = field(default_factory=dict)
    set_ups: Mapping[str, SetUp] = field(default_factory=dict)
    clashes: frozenset[frozenset[ZoneUse]] = frozenset()
    """Two uses that never share a half-day; a set of one: never two tasks with that use."""
    order: tuple[tuple[str, str], ...] = ()
    """Kinds (first, then): on a day with both, nothing of the first follows the second."""
    overtime_price: int = 0
    week_target: int = 0
    """Quarter-hours of people a week; 0 means that weeks are not levelled."""
    margin_days: int = 0
    """Days before the last lawful day which a plan had better not use."""
    agreed: frozenset[Task] = frozenset()
    locked: frozenset[Task] = frozenset()
    bookings: Mapping[int, str] = field(default_factory=dict)
    """What holds the house in a half-day, in words."""

    @property
    def slots(self) -> int:
        return len(self.access)

    @property
    def days(self) -> int:
        return len(self.access) // SLOTS_A_DAY

    @cached_property
    def plan_of(self) -> dict[str, Plan]:
        return {plan.key: plan for plan in self.plans}


def day_of(slot: int) -> int:
    """The day a half-day belongs to."""
    return slot // SLOTS_A_DAY


def refuse_impossible(house: House) -> None:
    """An input that no plan could be judged by is refused with its name.

    >>> refuse_impossible(House(date(2027, 1, 1), (frozenset(),), ()))
    Traceback (most recent call last):
    ValueError: A horizon has whole days: an even number of half-days.
    """
    if house.slots % SLOTS_A_DAY:
        raise ValueError("A horizon has whole days: an even number of half-days.")
    if len(house.plan_of) != len(house.plans):
        raise ValueError("Two plans have the same key.")
    for plan in house.plans:
        _refuse_plan(house, plan)
    for person in house.people:
        if len(person.quarters) != house.slots or len(person.overtime) not in (0, house.slots):
            raise ValueError(f"{person.key}: hours are given for another number of half-days.")
    for task in house.locked:
        if task.plan not in house.plan_of:
            raise ValueError(f"{task.plan}: locked, but there is no such plan.")


def _refuse_plan(house: House, plan: Plan) -> None:
    if plan.interval.is_zero and not plan.due_days:
        raise ValueError(f"{plan.key}: an interval of nothing never comes round.")
    if plan.duration < 1:
        raise ValueError(f"{plan.key}: a task takes at least one half-day.")
    if plan.examiner and plan.examiner not in house.examiners:
        raise ValueError(f"{plan.key}: no examiner of the trade {plan.examiner}.")
    for key in plan.set_ups:
        if key not in house.set_ups:
            raise ValueError(f"{plan.key}: no set-up named {key}.")
