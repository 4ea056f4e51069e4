"""Houses of a few days for the tests of the year planner."""

from __future__ import annotations

from datetime import date
from random import Random
from typing import Any

from inspections.calendar_rules import Interval
from inspections.planning.house import (
    Competence,
    DueDay,
    Examiner,
    House,
    Need,
    Person,
    Plan,
    SetUp,
    Task,
)
from inspections.planning.outcome import Options

FIRST_DAY = date(2027, 1, 4)
DARK = frozenset({"stage clear"})
BLOCKED: frozenset[str] = frozenset()
QUICK = Options(seconds=3, repeatable=True)


def make_plan(key: str, days: int, first: int | None = None, **more: Any) -> Plan:
    """A floating plan of so many days whose next task is due on `first`."""
    due = days - 1 if first is None else first
    return Plan(key, more.pop("kind", key), Interval(days=days), due, due, **more)


def make_house(days: int, *plans: Plan, **more: Any) -> House:
    """Every half-day dark unless told otherwise."""
    access = more.pop("access", (DARK,) * (2 * days))
    return House(FIRST_DAY, access, plans, **more)


def make_person(days: int, quarters: int = 8, *names: str, **more: Any) -> Person:
    competences = tuple(Competence(name, 0, days) for name in names or ("competent",))
    return Person(more.pop("key", "one"), competences, (quarters,) * (2 * days), **more)


def tiny_house(seed: int) -> House:
    """Two or three plans over four days with everything that can go wrong between them."""
    random = Random(seed)
    days = 4
    access = tuple(DARK if random.random() < 0.55 else BLOCKED for _ in range(2 * days))
    plans = tuple(_tiny_plan(random, number) for number in range(random.choice((2, 2, 3))))
    twins = random.random() < 0.3
    if twins:
        plans = (*plans[:-1], _twin(plans[0], random))
    if random.random() < 0.4:
        plans = (*plans[:-1], _anchored(plans[-1], random))
    return House(
        FIRST_DAY,
        access,
        plans,
        (make_person(days, random.choice((4, 8)), "competent", "trained", overtime=(4,) * 8),),
        {"lifting": Examiner("lifting", 500, 8, frozenset(random.sample(range(4), 3)))},
        {"swept": SetUp("swept", random.choice(("half-day", "day")), 90)},
        frozenset({frozenset({("grid", "above"), ("grid", "below")})}),
        order=(("kind 0", "kind 1"),),
        overtime_price=7,
        margin_days=random.choice((0, 1)),
        week_target=random.choice((0, 10)),
        agreed=frozenset(_agreed(random, plans)),
    )


def _tiny_plan(random: Random, number: int) -> Plan:
    examined = random.random() < 0.4
    return make_plan(
        f"plan {number}",
        random.choice((2, 3, 4)),
        random.choice((0, 1, 2, 3)),
        kind=f"kind {number}",
        price=random.choice((10, 40)),
        early_price=random.choice((0, 3)),
        early_days=1,
        needs=(Need(random.choice(("competent", "trained")), random.choice((2, 4))),),
        examiner="lifting" if examined else "",
        examiner_quarters=4 if examined else 0,
        access=DARK,
        zones=frozenset({("grid", random.choice(("above", "below")))}),
        set_ups=frozenset({"swept"}) if random.random() < 0.5 else frozenset(),
        duration=1 if random.random() < 0.8 else 2,
    )


def _twin(plan: Plan, random: Random) -> Plan:
    due = random.choice((0, 1, 2, 3))
    return Plan(**{**vars(plan), "key": "twin", "first_due": due, "first_lawful": due})


def _anchored(plan: Plan, random: Random) -> Plan:
    """One or two due days counted from a fixed day."""
    first = random.choice((0, 1))
    dues = (DueDay(max(0, first - 1), first, first + random.choice((0, 1))), DueDay(2, 3, 3))
    return Plan(**{**vars(plan), "due_days": dues[: random.choice((1, 2))]})


def _agreed(random: Random, plans: tuple[Plan, ...]) -> list[Task]:
    if random.random() < 0.6:
        return []
    return [Task(plan.key, random.randrange(8)) for plan in plans]
