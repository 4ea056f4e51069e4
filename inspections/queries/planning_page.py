"""What the year planner is told about a venue, for its page: given by the venue, or assumed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from inspections.models import Absence, ExaminerTrade, WorkingWeek
from inspections.models.planning_settings import WEEKDAYS
from inspections.queries.logged_hours import Kind, hours_known, kind_of_check
from inspections.queries.plan_starts import running_plans
from inspections.queries.planning_settings import (
    people_who_work,
    set_up_rows,
    trade_rows,
    weeks_of,
)
from inspections.queries.work_of_plans import Needed, needed_by
from inspections.work_files import work_needs
from venue.kind_files import kinds
from venue.models import Venue


@dataclass(frozen=True)
class WeekLine:
    week: WorkingWeek
    given: bool

    @property
    def words(self) -> str:
        return half_days_in_words(self.week.half_days)


@dataclass(frozen=True)
class TradeLine:
    trade: ExaminerTrade
    words: str
    given: bool


@dataclass(frozen=True)
class SetUpLine:
    slug: str
    words: str
    price: object
    notice_days: int
    given: bool


@dataclass(frozen=True)
class HoursLine:
    """What one kind of check takes: its estimate and what records tell, side by side. `things`: of
    what, where the same regime is used on other things too."""

    needed: Needed
    things: tuple[str, ...]

    @property
    def title(self) -> str:
        return self.needed.plan.version.title


def hours_lines(venue: Venue, now: datetime) -> list[HoursLine]:
    """One line for each kind of check that runs here."""
    plans = running_plans(venue)
    known = hours_known(venue, plans, now)
    needed = {each.kind: each for each in (needed_by(plan, known) for plan in plans)}
    families = Counter(regime for regime, _ in needed)
    things: dict[Kind, set[str]] = {}
    for plan in plans:
        kind = kind_of_check(plan.regime, plan.equipment.kind)
        if families[plan.regime] > 1:
            label = kinds()[plan.equipment.kind].label(venue.dialect)
            things.setdefault(kind, set()).add(label)
    lines = [HoursLine(each, tuple(sorted(things.get(each.kind, ())))) for each in needed.values()]
    return sorted(lines, key=lambda line: (line.title, line.things))


def week_lines(venue: Venue) -> list[WeekLine]:
    return [WeekLine(week, given) for week, given in weeks_of(venue, people_who_work(venue))]


def trade_lines(venue: Venue) -> list[TradeLine]:
    known = work_needs().trades
    return [
        TradeLine(row, known[slug].words, given)
        for slug, (row, given) in sorted(trade_rows(venue).items())
    ]


def set_up_lines(venue: Venue) -> list[SetUpLine]:
    known = work_needs().set_ups
    return [
        SetUpLine(slug, known[slug].words, row.price, row.notice_days, given)
        for slug, (row, given) in sorted(set_up_rows(venue).items())
    ]


def absences_to_come(venue: Venue, today: date) -> list[Absence]:
    rows = Absence.objects.filter(venue=venue, last_day__gte=today).select_related("person")
    return list(rows[:100])


def half_days_in_words(half_days: Iterable[int]) -> str:
    """Days whole where both halves are meant.

    >>> half_days_in_words([0, 1, 2, 13]), half_days_in_words([])
    ('Monday, Tuesday morning, Sunday afternoon', 'never')
    """
    chosen, said = set(half_days), []
    for number, day in enumerate(WEEKDAYS):
        halves = [w for h, w in enumerate(("morning", "afternoon")) if 2 * number + h in chosen]
        if halves:
            said.append(day if len(halves) == 2 else f"{day} {halves[0]}")
    return ", ".join(said) or "never"
