"""Year plans for their pages: the list, and one plan with its figures and the tasks of a month."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Any

from django.db.models import Count, QuerySet
from django.db.models.fields.json import KT

from inspections.models import PlannedMove, PlannedTask, YearPlan
from inspections.planning.wording import counted_words, money_words
from inspections.queries.agreed_tasks import plan_in_force
from inspections.queries.asked_jobs import AskedJob, is_behind
from inspections.queries.planning_settings import settings_of
from venue.models import Person, Venue
from venue.queries.stretches import stretch_of
from venue.table_shapes import Stretch

PLANS_AT_ONCE = 1000

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
    tasks: list[PlannedTask]

    @property
    def hours(self) -> str:
        return hours_words(sum(task.quarters for task in self.tasks))


def plans_of(venue: Venue, person: Person) -> QuerySet[YearPlan]:
    return YearPlan.objects.visible_to(person).in_venue(venue).select_related("job", "by", "venue")


def plan_lines(venue: Venue, person: Person, now: datetime, past: str = "") -> Stretch[PlanLine]:
    """The newest first."""
    force = plan_in_force(venue)
    # What a plan tells of itself may be long, and of all of it only this figure is shown.
    rows = plans_of(venue, person).defer("outcome", "assumptions", "unknowns")
    rows = rows.annotate(said_late=KT("outcome__figures__late_days"))
    read = stretch_of(rows, ("-at", "-pk"), past, PLANS_AT_ONCE)
    return Stretch([_line(plan, force, now) for plan in read.rows], read.more, read.begun)


def _line(plan: YearPlan, force: YearPlan | None, now: datetime) -> PlanLine:
    late = plan.said_late  # type: ignore[attr-defined]
    return PlanLine(
        plan,
        force is not None and plan.pk == force.pk,
        AskedJob(plan.job, now) if plan.job and not plan.made_at else None,
        None if late is None else int(late),
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


def figures_of_plan(plan: YearPlan) -> list[Figure]:
    """What the plan comes to, each aim with what is proven of it."""
    found = plan.outcome.get("figures")
    if not found:
        return []
    unit = settings_of(plan.venue).row.money_unit
    stages = {stage["aim"]: stage for stage in plan.outcome.get("stages", ())}
    return [
        Figure("Late", counted_words(found["late_days"], "day"), _proven(stages.get("late"), "")),
        *_moved(found, stages),
        Figure("Cost", money(unit, found["cost"]), _proven(stages.get("cost"), unit)),
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


def progress_of(asked: AskedJob, unit: str) -> list[Figure]:
    """The best plan so far; nothing before the first one."""
    told = asked.job.result
    if "late_days" not in told:
        return []
    aim = AIMS[told["aim"]][0].lower()
    bound = money(unit, told["bound"]) if told["aim"] == "cost" else str(told["bound"])
    return [
        Figure("Late", counted_words(told["late_days"], "day")),
        Figure("Cost", money(unit, told["cost"])),
        Figure("Examiners’ visits", counted_words(told["visit_days"], "day")),
        Figure("Made ready", counted_words(told["set_ups"], "time")),
        Figure("Tasks", str(len(told["tasks"]))),
        Figure("First plan after", f"{told['first_s']:g} s"),
        Figure("Now being improved", aim, f"no plan is better than {bound}"),
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


def weeks_in(plan: YearPlan, month: str) -> list[Week]:
    """The tasks of a month by week, in three queries."""
    if not month:
        return []
    year, number = (int(part) for part in month.split("-"))
    rows = plan.planned.filter(day__year=year, day__month=number)
    rows = rows.select_related("plan__version", "equipment__place").prefetch_related("crew__person")
    ordered = rows.order_by(
        "day", "half", "equipment__place__walking_order", "equipment__walking_order", "pk"
    )
    weeks = groupby(ordered, key=lambda task: task.day - timedelta(days=task.day.weekday()))
    return [Week(monday, list(tasks)) for monday, tasks in weeks]


def late_of_plan(plan: YearPlan) -> list[PlannedTask]:
    """What the plan has after its last lawful day, the latest first."""
    rows = plan.planned.filter(late_days__gt=0).select_related("plan__version", "equipment")
    return list(rows.order_by("-late_days", "day", "pk")[:100])


def never_of_plan(plan: YearPlan) -> list[str]:
    """Plans that have days late and no late task: nothing within the span can be used for them."""
    keys = {f"{row.equipment.tag}: {row.plan.version.title}" for row in late_of_plan(plan)}
    return sorted(key for key in plan.outcome.get("late", {}) if key not in keys)


def undated_of_plan(plan: YearPlan) -> int:
    """Tasks that lie too far ahead to have a dated task yet, so publishing gives no day for them."""
    return plan.planned.filter(task=None).count()


def last_move(plan: YearPlan) -> PlannedMove | None:
    """The newest move by hand that was not taken back."""
    rows = plan.moves.filter(undone_at__isnull=True)
    return rows.select_related("planned__plan__version", "planned__equipment").first()


def is_in_force(plan: YearPlan) -> bool:
    return plan_in_force(plan.venue) == plan
