"""The year planner's house, built from the database for a venue and a span of days."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from inspections.models import Plan, PlannedTask, YearPlan
from inspections.planning.house import House, SetUp
from inspections.queries.agreed_tasks import (
    Agreed,
    agreed_of,
    keep_what_can_be_kept,
    promised_tasks,
)
from inspections.queries.calendar_access import HalfDays, half_days_of
from inspections.queries.calendar_doubts import calendar_doubts
from inspections.queries.house_shape import (
    Shafts,
    clashes_of,
    heights_unsaid,
    order_of,
    pure_plan,
    shafts_of,
)
from inspections.queries.learned_too_long import put_out_of_reach
from inspections.queries.logged_hours import hours_known
from inspections.queries.notice_given import notice_given, taken_as_arranged
from inspections.queries.plan_starts import Start, running_plans, starts_of, too_often
from inspections.queries.planning_examiners import Examiners, planning_examiners
from inspections.queries.planning_people import People, Span, planning_people
from inspections.queries.planning_settings import Told, coins, quarters, settings_of
from inspections.queries.planning_words import assumptions_of, unknowns_of
from inspections.queries.work_of_plans import Needed, needed_by, set_ups_of
from venue.models import Person, Venue


@dataclass(frozen=True)
class HouseOf:
    """The house, what its keys stand for, and what had to be assumed to build it."""

    venue: Venue
    house: House
    span: Span
    starts: dict[str, Start]  # by the planner's key of the plan
    needed: dict[str, Needed]
    people: dict[str, Person]  # by the planner's key of the person
    work_elsewhere: dict[str, frozenset[int]]  # half-days with work at another venue, by that key
    assumptions: tuple[str, ...]
    unknowns: tuple[str, ...]

    @property
    def keys(self) -> dict[int, str]:
        """The planner's key of each plan, by the plan's number."""
        return {start.plan.pk: key for key, start in self.starts.items()}

    def plan(self, key: str) -> Plan:
        return self.starts[key].plan


def house_of(
    venue: Venue, first_day: date, days: int, now: datetime, agreed: Agreed | None = None,
    draft: YearPlan | None = None,
) -> HouseOf:  # fmt: skip
    """`agreed`: what is promised; not given, it is the published plans, what people agreed, and the
    locks of the draft."""
    span = Span(first_day, days, now.astimezone(venue.zone).date())
    told, plans = settings_of(venue), running_plans(venue)
    dated = [plan for plan in plans if not too_often(plan)]
    starts = _by_key(starts_of(dated, span.today, first_day, span.last_day))
    known = hours_known(venue, dated, now)
    needed = {key: needed_by(start.plan, known) for key, start in starts.items()}
    published = promised_tasks(venue, span)
    means = _means(venue, span, told, list(needed.values()), published.values())
    half_days = half_days_of(venue, told.row, first_day, days)
    shafts = shafts_of(venue)
    bare = _bare(venue, span, told, starts, needed, means, half_days, shafts)
    promised = agreed if agreed is not None else agreed_of(starts, span, published, draft)
    house, refused = keep_what_can_be_kept(bare, promised)
    each = list(needed.values())
    assumptions = assumptions_of(starts, each, told, half_days, len(plans) - len(dated))
    unknowns = [*unknowns_of(venue, span, each, half_days.unknown), *put_out_of_reach(bare, needed)]
    heights = heights_unsaid(shafts, starts, needed)
    doubts = [doubt.words for doubt in calendar_doubts(venue, first_day, span.last_day, now)]
    return HouseOf(
        venue, house, span, starts, needed, means.people.rows,
        {key: each.work for key, each in means.people.elsewhere.items()},
        (*assumptions, *means.assumptions, *promised.said), (*doubts, *unknowns, *heights, *means.unknowns, *refused),
    )  # fmt: skip


@dataclass(frozen=True)
class _Means:
    """Who comes and what is made ready, and what had to be assumed of it."""

    people: People
    examiners: Examiners
    set_ups: dict[str, SetUp]
    assumptions: tuple[str, ...]
    unknowns: tuple[str, ...]


def _means(
    venue: Venue, span: Span, told: Told, needed: list[Needed], published: Iterable[PlannedTask]
) -> _Means:
    """What the published plan has told to people outside is arranged already."""
    given = notice_given(published, needed, span)
    people = planning_people(venue, span, told.row.certificates_renewed)
    trades = {each.work.examiner for each in needed} - {""}
    examiners = planning_examiners(venue, span, trades, people, given.visit_days())
    set_ups = given.told(set_ups_of(venue, needed, span))
    arranged = taken_as_arranged(examiners.by_trade, set_ups, given, span)
    return _Means(
        people, examiners, set_ups,
        (*people.assumptions, *examiners.assumptions, *arranged),
        (*people.unknowns, *examiners.unknowns),
    )  # fmt: skip


def _bare(
    venue: Venue, span: Span, told: Told, starts: dict[str, Start], needed: dict[str, Needed],
    means: _Means, half_days: HalfDays, shafts: Shafts,
) -> House:  # fmt: skip
    """The house with nothing promised."""
    plans = tuple(
        pure_plan(key, start, needed[key], told.row, shafts, span) for key, start in starts.items()
    )
    return House(
        first_day=span.first_day,
        access=tuple(half_days.access),
        plans=plans,
        people=tuple(means.people.people),
        examiners=means.examiners.by_trade,
        set_ups=means.set_ups,
        clashes=clashes_of(plans),
        order=order_of(starts),
        overtime_price=coins(told.row.overtime_price) // 4,
        week_target=quarters(told.row.week_target_hours),
        margin_days=told.row.margin_days,
        bookings=half_days.bookings,
    )


def _by_key(starts: list[Start]) -> dict[str, Start]:
    """Plans by words that a person reads: the tag and what is looked at."""
    found: dict[str, Start] = {}
    for start in starts:
        key = f"{start.plan.equipment.tag}: {start.plan.version.title}"
        found[key if key not in found else f"{key} ({start.plan.pk})"] = start
    return found
