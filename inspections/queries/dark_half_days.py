"""“Leave these half-days dark”: a plan's half-days for whoever makes the season."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from inspections.dark_half_days import LeaveDark, leave_dark
from inspections.half_days import HALF_WORDS
from inspections.held_half_days import Hold
from inspections.models import PlannedTask, YearPlan
from inspections.queries.check_year_plan import check_year_plan
from inspections.queries.held_half_days import half_days_held

HALVES = ("am", "pm")


@dataclass(frozen=True)
class DarkHalfDay:
    """For people. `cannot_move`: some task has no other lawful half-day with what it needs."""

    day: date
    half: str
    access: tuple[str, ...]
    rows: list[PlannedTask]
    elsewhere: int
    hold: Hold

    @property
    def half_words(self) -> str:
        return HALF_WORDS[self.half]

    @property
    def cannot_move(self) -> bool:
        return self.elsewhere == 0

    @property
    def tags(self) -> list[str]:
        return list(dict.fromkeys(row.equipment.tag for row in self.rows))


@dataclass(frozen=True)
class LeaveThese:
    half_days: list[DarkHalfDay]

    @property
    def fixed(self) -> list[DarkHalfDay]:
        return [each for each in self.half_days if each.cannot_move]

    @property
    def by_month(self) -> list[tuple[date, list[DarkHalfDay]]]:
        """Those that can be exchanged."""
        found: dict[date, list[DarkHalfDay]] = {}
        for each in self.half_days:
            if not each.cannot_move:
                found.setdefault(each.day.replace(day=1), []).append(each)
        return list(found.items())


def leave_these_dark(plan: YearPlan, now: datetime) -> LeaveThese:
    """Half-days in which a task needs something of the house, from today on."""
    checked = check_year_plan(plan, now)
    first, held = plan.first_day, half_days_held(plan.venue, plan.first_day, plan.last_day)
    found = []
    for each in leave_dark(checked.found.house, checked.rows):
        day, half = first + timedelta(days=each.slot // 2), HALVES[each.slot % 2]
        if day >= checked.found.span.today:
            found.append(_half_day(each, day, half, held[day, half], checked.rows))
    return LeaveThese(found)


def _half_day(each: LeaveDark, day: date, half: str, hold: Hold, rows: dict) -> DarkHalfDay:
    return DarkHalfDay(
        day, half, each.access, [rows[task] for task in each.tasks], each.elsewhere, hold
    )  # fmt: skip
