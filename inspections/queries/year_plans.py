"""Year plans for their pages: the list, and one plan with its figures and the tasks of a month."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from typing import Any

from django.db.models import Count, F, Q, QuerySet
from django.db.models.fields.json import KT

from inspections.board_grid import monday_of
from inspections.models import PlannedMove, PlannedPerson, Task, YearPlan
from inspections.planned_standing import LATE
from inspections.planning.wording import counted_words, money_words
from inspections.queries.asked_jobs import AskedJob, is_behind
from inspections.queries.planning_settings import settings_of
from inspections.queries.plans_in_force import in_force_from, plans_in_force
from inspections.queries.year_board import mark_of, planned_tasks
from inspections.year_board import Mark
from venue.models import Person, Venue
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch

PLANS_AT_ONCE = 1000
LATE_AT_ONCE = 100

AIMS = {
    "late": ("Days late", "the sum over all tasks"),
    "moved": ("Agreed tasks moved", "against the plan in force"),
    "cost": ("Cost", "work, examiners, things made ready, overtime, days of validity given away"),
    "level": ("Unevenness", "hours beyond the week’s target and days within the margin"),
}


@dataclass(frozen=True)
class PlanLine:
    """A plan in the list."""

    plan: YearPlan
    in_force: bool
    asked: AskedJob | None  # while it is not ready
    late_days: int | None
    late_already: int  # days late when its first day begins, beside those

    @property
    def words(self) -> str:
        if self.in_force:
            return "In force"
        if self.asked:
            return self.asked.words
        return self.plan.get_state_display()


@dataclass(frozen=True)
class Figure:
    label: str
    value: str
    note: str = ""


@dataclass(frozen=True)
class Week:
    first_day: date
    marks: list[Mark]

    @property
    def hours(self) -> str:
        return hours_words(sum(mark.planned.quarters for mark in self.marks))


def plans_of(venue: Venue, person: Person) -> QuerySet[YearPlan]:
    return YearPlan.objects.visible_to(person).in_venue(venue).select_related("job", "by", "venue")


def plan_lines(venue: Venue, person: Person, now: datetime, past: str = "") -> Stretch[PlanLine]:
    """The newest first."""
    force = in_force_from(plans_in_force(venue), now.astimezone(venue.zone).date())
    # What a plan tells of itself may be long, and of all of it only this figure is shown.
    rows = plans_of(venue, person).defer("outcome", "assumptions", "unknowns")
    rows = rows.annotate(
        said_late=KT("outcome__figures__late_days"), said_already=KT("outcome__late_already__days")
    )
    read = stretch_of(rows, ("-at", "-pk"), past, PLANS_AT_ONCE)
    return Stretch([_line(plan, force, now) for plan in read.rows], read.more, read.begun)


def _line(plan: YearPlan, force: set[int], now: datetime) -> PlanLine:
    late = plan.said_late  # type: ignore[attr-defined]
    return PlanLine(
        plan,
        plan.pk in force,
        AskedJob(plan.job, now) if plan.job and not plan.made_at else None,
        None if late is None else int(late),
        int(plan.said_already or 0),  # type: ignore[attr-defined]
    )


def asked_plan(plan: YearPlan, now: datetime) -> AskedJob | None:
    """The job that is making it; None once it is ready, or where no job made it."""
    if plan.made_at or plan.job is None:
        return None
    return AskedJob(plan.job, now, is_behind(plan.job, now))


def money(unit: str, coins: int) -> str:
    return f"{unit} {money_words(coins)}".strip()


def hours_words(quarters: int) -> str:
    """Hours with no noughts behind.

    >>> hours_words(6), hours_words(8)
    ('1.5 h', '2 h')
    """
    return f"{quarters / 4:g} h"


def figures_of_plan(plan: YearPlan, sees_money: bool) -> list[Figure]:
    """What the plan comes to, each aim with what is proven of it."""
    found = plan.outcome.get("figures")
    if not found:
        return []
    unit = settings_of(plan.venue).row.money_unit
    stages = {stage["aim"]: stage for stage in plan.outcome.get("stages", ())}
    return [
        Figure("Late", counted_words(found["late_days"], "day"), _proven(stages.get("late"), "")),
        *_already(plan.outcome.get("late_already")),
        *_moved(found, stages),
        *[Figure("Cost", money(unit, found["cost"]), _proven(stages.get("cost"), unit))] * sees_money,
        Figure("Examiners’ visits", counted_words(found["visit_days"], "day")),
        Figure("Made ready", counted_words(found["set_ups"], "time"), "isolations, lock-offs, stripping, hire"),
        Figure("Overtime", f"{found['overtime_h']:g} h"),
        Figure("Beyond the week’s target", f"{found['over_target_h']:g} h"),
        Figure("Within the margin", counted_words(found["tight_days"], "day"), "before a last lawful day"),
        Figure("Tasks", str(found["tasks"])),
    ]  # fmt: skip


def _moved(found: dict[str, Any], stages: dict[str, Any]) -> Iterator[Figure]:
    if found["moved"] or "moved" in stages:
        yield Figure("Agreed tasks moved", str(found["moved"]), _proven(stages.get("moved"), ""))


def _already(told: dict[str, int] | None) -> Iterator[Figure]:
    """What no plan can take back stands beside what a plan can."""
    if told and told["days"]:
        tasks = counted_words(told["tasks"], "task")
        yield Figure(
            "Late already on the first day", counted_words(told["days"], "day"),
            f"of {tasks}, beside the days above; no plan can take them back",
        )  # fmt: skip


def _proven(stage: dict[str, Any] | None, unit: str) -> str:
    """What no plan at all can beat. A plan that was not searched for has nothing proven."""
    if stage is None:
        return "nothing is proven of it"
    if stage["value"] <= stage["bound"]:
        return "proven: no plan is better"
    bound = money(unit, stage["bound"]) if stage["aim"] == "cost" else str(stage["bound"])
    return f"no plan is better than {bound}; this one is at most {stage['gap']:.1%} from that"


def baselines_of_plan(plan: YearPlan) -> list[tuple[str, dict[str, Any], str]]:
    """The two plans a person would make, to compare with: words, figures, money."""
    unit = settings_of(plan.venue).row.money_unit
    names = {
        "earliest": "The earliest half-day that fits",
        "cheapest": "The cheapest half-day that fits",
    }
    known = plan.outcome.get("baselines", {})
    rows = [(words, known[name]) for name, words in names.items() if name in known]
    if rows:
        rows.insert(0, ("This plan", plan.outcome["figures"]))
    return [(words, found, money(unit, found["cost"])) for words, found in rows]


def progress_of(asked: AskedJob, venue: Venue, sees_money: bool) -> list[Figure]:
    """The best plan so far, and how far it may be from the best there is; nothing before the first."""
    told, unit = asked.job.result, settings_of(venue).row.money_unit
    if "late_days" not in told:
        return []
    proven = _proven(told, unit) if sees_money or told["aim"] != "cost" else ""
    aim = AIMS[told["aim"]][0].lower()
    return [
        Figure("Late", counted_words(told["late_days"], "day")),
        *_already(told.get("late_already")),
        *[Figure("Cost", money(unit, told["cost"]))] * sees_money,
        Figure("Examiners’ visits", counted_words(told["visit_days"], "day")),
        Figure("Made ready", counted_words(told["set_ups"], "time")),
        Figure("Tasks", str(len(told["tasks"]))),
        Figure("First plan after", f"{told['first_s']:g} s"),
        Figure("Now being improved", aim, proven),
    ]


def months_of(plan: YearPlan) -> list[tuple[str, date, int]]:
    """Each month with tasks: "2027-03", its first day, how many."""
    counted: dict[date, int] = {}
    for day, count in plan.planned.order_by("day").values_list("day").annotate(Count("pk")):
        first = day.replace(day=1)
        counted[first] = counted.get(first, 0) + count
    return [(f"{first:%Y-%m}", first, count) for first, count in counted.items()]


def month_asked(months: list[tuple[str, date, int]], wanted: str, today: date) -> str:
    """The month to show: the one asked for, else this one or the next with tasks."""
    keys = [key for key, _, _ in months]
    if wanted in keys:
        return wanted
    return next((key for key in keys if key >= f"{today:%Y-%m}"), keys[0] if keys else "")


def weeks_in(plan: YearPlan, month: str, today: date) -> list[Week]:
    """The tasks of a month by week, in two queries."""
    if not month:
        return []
    year, number = (int(part) for part in month.split("-"))
    rows = planned_tasks(plan.planned.filter(day__year=year, day__month=number)).order_by(
        "day", "half", "equipment__place__walking_order", "equipment__walking_order", "pk"
    )
    marks = [mark_of(row, plan, today) for row in rows]
    weeks = groupby(marks, key=lambda mark: monday_of(mark.planned.day))
    return [Week(monday, list(there)) for monday, there in weeks]


def late_of_plan(plan: YearPlan, today: date) -> list[Mark]:
    """What is late in it today and not done: planned after its last lawful day, or left undone until
    that was past. The latest first."""
    its_own = Q(late_days__gt=0) | Q(last_lawful_on__lt=today)
    now = Q(task__last_lawful_on__lt=today) | Q(task__last_lawful_on__lt=F("day"))
    moved = Q(half_days__gt=1) | Q(task__planned_on__gt=F("day"))
    rows = plan.planned.filter(Q(task=None) | Q(task__state=Task.State.OPEN), its_own | now | moved)
    marks = [mark_of(row, plan, today) for row in planned_tasks(rows)]
    late = [mark for mark in marks if mark.state == LATE]
    return sorted(
        late, key=lambda mark: (-mark.standing.late_days, mark.planned.day, mark.planned.pk)
    )


def missing_of_plan(plan: YearPlan) -> tuple[list[str], list[tuple[str, int]]]:
    """Of the plans that have days late: those without any task, and those that lack one at the end,
    with the days by which that is late when the plan ends. The days of its rows tell them apart."""
    late: dict[str, int] = plan.outcome.get("late", {})
    rows = _late_by_plan(plan) if late else {}
    never, left = [], []
    for key, days in sorted(late.items()):
        there = _told_by(key, rows)
        if not there:
            never.append(key)
        elif days > sum(there):
            left.append((key, days - sum(there)))
    return never, left


def _late_by_plan(plan: YearPlan) -> dict[int, tuple[str, int]]:
    """By each plan that has tasks in it: its words, and the days that these are late within it."""
    names = plan.planned.order_by("plan").distinct()
    found = {
        pk: (f"{tag}: {title}", 0)
        for pk, tag, title in names.values_list("plan", "equipment__tag", "plan__version__title")
    }
    late = plan.planned.filter(late_days__gt=0).values_list("plan", "last_lawful_on", "late_days")
    for pk, lawful, days in late:
        before = max(0, (plan.first_day - lawful).days)
        found[pk] = (found[pk][0], found[pk][1] + days - before)
    return found


def _told_by(key: str, rows: dict[int, tuple[str, int]]) -> list[int]:
    """The days of the plans that a key of the planner stands for; of two of one name the second has
    its number behind."""
    same = [days for words, days in rows.values() if words == key]
    return same or [days for pk, (words, days) in rows.items() if f"{words} ({pk})" == key]


def undated_of_plan(plan: YearPlan) -> int:
    """Tasks that lie too far ahead to have a dated task yet, so publishing gives no day for them."""
    return plan.planned.filter(task=None).count()


def last_move(plan: YearPlan) -> PlannedMove | None:
    """The newest move by hand that was not taken back."""
    rows = plan.moves.filter(undone_at__isnull=True)
    return rows.select_related("planned__plan__version", "planned__equipment").first()


def people_of_plan(plan: YearPlan) -> list[str]:
    """Whoever has a part in it, by name."""
    names = PlannedPerson.objects.filter(planned__year_plan=plan).values_list("person__name")
    return [name for (name,) in names.order_by("person__name").distinct()]


def is_in_force(plan: YearPlan, today: date) -> bool:
    """Today or on a day to come."""
    return plan.pk in in_force_from(plans_in_force(plan.venue), today)
