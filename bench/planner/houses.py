"""Synthetic houses from a seed: S (40 pieces of equipment), M (150), L (400, three years), and C
(12), a house of a circuit. Pure.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from random import Random

from inspections.calendar_rules import Interval
from inspections.planning.groups import next_dates
from inspections.planning.house import (
    PER_DAY,
    PER_HALF_DAY,
    Competence,
    Examiner,
    House,
    Need,
    Person,
    Plan,
    SetUp,
)

FIRST_DAY = date(2027, 1, 4)
SIZES = {"C": (12, 364), "S": (40, 364), "M": (150, 364), "L": (400, 1092)}
ABOVE, BELOW = "at work above", "people below"
STAGE_CLEAR, HOUSE_EMPTY, PIT_LEVEL = "stage clear", "house empty", "pit at stage level"
EVERY = frozenset({STAGE_CLEAR, HOUSE_EMPTY, PIT_LEVEL, "building open"})


@dataclass(frozen=True)
class Kind:
    """A regime of the synthetic house. Hours are quarter-hours of each half-day."""

    name: str
    share: float
    interval: Interval
    early: int
    needs: tuple[tuple[str, int, int], ...]
    access: frozenset[str]
    zones: tuple[tuple[str, str], ...] = ()
    set_ups: tuple[str, ...] = ()
    examiner: str = ""
    examiner_quarters: int = 0
    duration: int = 1


def _kind(name: str, share: float, months: int, days: int, early: int, crew: str, *more: object,
          **other: object) -> Kind:  # fmt: skip
    needs = tuple((word.split("*")[0], int(word.split("*")[1]), int(word.split("*")[2]))
                  for word in crew.split())  # fmt: skip
    interval = Interval(months=months, days=days)
    return Kind(name, share, interval, early, needs, *more, **other)  # type: ignore[arg-type]


STAGE, AUDITORIUM, PIT = (frozenset({word}) for word in (STAGE_CLEAR, HOUSE_EMPTY, PIT_LEVEL))
GRID, FLOOR, VOID = ("fly tower", ABOVE), ("fly tower", BELOW), ("auditorium", ABOVE)
KINDS = (
    _kind("set: monthly look", 0.5, 1, 0, 10, "trained*2*1", STAGE, (FLOOR,)),
    _kind("set: six months", 0.5, 6, 0, 30, "competent*4*1 trained*4*1", STAGE, (GRID,),
          ("grid swept",)),
    _kind("set: thorough", 0.5, 12, 0, 60, "competent*3*1", STAGE, (GRID,), ("grid swept",),
          "lifting", 4),
    _kind("lift: monthly", 0.08, 1, 0, 10, "competent*4*1", PIT, (("pit", BELOW),),
          ("lift locked",)),
    _kind("lift: thorough", 0.08, 6, 0, 45, "competent*6*1 trained*6*1", PIT, (("pit", BELOW),),
          ("lift locked",), "lifting", 10),
    _kind("winch: quarter", 0.12, 3, 0, 21, "competent*5*1", STAGE, (GRID,), ("power off",)),
    _kind("winch: thorough", 0.12, 12, 0, 60, "competent*4*1", STAGE, (GRID,), ("power off",),
          "lifting", 6),
    _kind("detector: six months", 0.2, 6, 0, 30, "trained*3*1", AUDITORIUM, (VOID,),
          ("detectors isolated",), "fire", 3),
    _kind("detector: weekly bell", 0.03, 0, 7, 3, "trained*1*1", frozenset({"building open"})),
    _kind("catwalk: quarter", 0.05, 3, 0, 21, "competent*4*1 trained*4*1", AUDITORIUM, (VOID,)),
    _kind("curtain: drop", 0.02, 1, 0, 10, "competent*3*1 trained*3*1", STAGE | AUDITORIUM,
          (FLOOR,), ("detectors isolated",)),
    _kind("anchors: yearly", 0.1, 12, 0, 60, "competent*3*1", STAGE, (GRID,), ("grid swept",),
          "anchors", 4),
)  # fmt: skip


def synthetic_house(size: str, seed: int) -> House:
    """The house of a size and a seed; the same call gives the same house."""
    count, days = SIZES[size]
    random = Random(f"{size}-{seed}")
    access, bookings = season(random, days)
    return House(
        FIRST_DAY,
        access,
        tuple(plan for kind in KINDS for plan in _plans(random, kind, count)),
        people(days, 1 + count // 60),
        {
            "lifting": _examiner(random, "lifting", 95_000, days),
            "fire": _examiner(random, "fire", 60_000, days),
            "anchors": _examiner(random, "anchors", 70_000, days),
        },
        {
            "grid swept": SetUp("grid swept", PER_DAY, 12_000),
            "lift locked": SetUp("lift locked", PER_HALF_DAY, 6_000),
            "power off": SetUp("power off", PER_HALF_DAY, 8_000),
            "detectors isolated": SetUp("detectors isolated", PER_DAY, 35_000, notice_days=3),
        },
        frozenset({frozenset({GRID, FLOOR}), frozenset({VOID, ("auditorium", BELOW)})}),
        order=(("set: six months", "curtain: drop"),),
        overtime_price=1_500,
        week_target=110 * (1 + count // 60),
        margin_days=3,
        bookings=bookings,
    )


def _plans(random: Random, kind: Kind, count: int) -> list[Plan]:
    due, _ = next_dates(FIRST_DAY, 1, kind.interval, Interval())
    found = []
    for number in range(max(1, round(kind.share * count))):
        soonest = 21 if kind.examiner else 4
        first = max(soonest, due[0] - random.randrange(1, max(2, due[0])))
        quarters = sum(quarters for _, quarters, _ in kind.needs)
        found.append(
            Plan(
                f"{kind.name} {number + 1}",
                kind.name,
                kind.interval,
                first,
                first,
                early_days=kind.early,
                early_price=200,
                price=800 * quarters,
                duration=kind.duration,
                needs=tuple(Need(*need) for need in kind.needs),
                examiner=kind.examiner,
                examiner_quarters=kind.examiner_quarters,
                access=kind.access,
                zones=frozenset(kind.zones),
                set_ups=frozenset(kind.set_ups),
            )
        )
    return found


def season(random: Random, days: int) -> tuple[tuple[frozenset[str], ...], dict[int, str]]:
    """Half-days of a repertory season: shows, rehearsals, a touring musical, dark days."""
    access: list[frozenset[str]] = []
    bookings: dict[int, str] = {}
    musical = random.randrange(60, 90)
    for day in range(days):
        for half in (0, 1):
            booked, left = _half_day(random, day, half, musical <= day % 364 < musical + 17)
            if booked:
                bookings[2 * day + half] = booked
            access.append(left)
    return tuple(access), bookings


def _half_day(random: Random, day: int, half: int, musical: bool) -> tuple[str, frozenset[str]]:
    weekday = day % 7
    if weekday == 6:
        return "closed", frozenset()
    if musical:
        return "touring musical", EVERY - {STAGE_CLEAR, PIT_LEVEL}
    if weekday == 0:
        return "", EVERY
    if day % 14 in (8, 9):
        return "repertory changeover", EVERY - {STAGE_CLEAR}
    if half and weekday in (2, 5):
        return "matinee", frozenset({"building open"})
    if random.random() < 0.45:
        return "rehearsal", EVERY - {STAGE_CLEAR, HOUSE_EMPTY}
    return "", EVERY


def people(days: int, teams: int) -> tuple[Person, ...]:
    """For every team one competent person and two trained ones; all rest on Sundays."""
    hours = tuple(0 if slot // 2 % 7 == 6 else 14 for slot in range(2 * days))
    over = tuple(0 if slot // 2 % 7 == 6 else 4 for slot in range(2 * days))
    trained, competent = Competence("trained", 0, days), Competence("competent", 0, days)
    found = []
    for team in range(teams):
        found.append(Person(f"head {team + 1}", (trained, competent), hours, over))
        found += [
            Person(f"hand {2 * team + n}", (trained,), hours, over) for n in (1, 2)
        ]  # fmt: skip
    return tuple(found)


def _examiner(random: Random, trade: str, fee: int, days: int) -> Examiner:
    """Weekdays, but not all of them, with two weeks of notice."""
    offered = frozenset(d for d in range(days) if d % 7 < 5 and random.random() < 0.6)
    return Examiner(trade, fee, 28, offered, notice_days=14)
