"""Plan a year of a venue's inspections from the command line, beside two plans a person would make."""

from __future__ import annotations

import json
import time
from argparse import ArgumentParser
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from inspections.actions.ask_for_plan import MOST_SECONDS, CannotPlan
from inspections.actions.make_asked_plan import MEMORY_MB, peak_mb, search
from inspections.actions.quick_year_plan import keep_as_draft
from inspections.late_already import late_already
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.greedy import cheapest_fit, earliest_fit
from inspections.planning.groups import Group, groups_of
from inspections.planning.house import House, Task
from inspections.planning.outcome import COST, Options
from inspections.planning.wording import slot_words
from inspections.queries.house_of import HouseOf, house_of
from inspections.queries.year_budgets import spending_against
from inspections.year_budget import Spending, paid_by_year
from inspections.year_figures import Made
from inspections.year_progress import PlanProgress
from venue.models import Venue

Maker = Callable[[House, list[Group], Capacity], list[Task]]
BASELINES: tuple[tuple[str, Maker], ...] = (
    ("earliest that fits", earliest_fit), ("cheapest that fits", cheapest_fit),
)  # fmt: skip


class Command(BaseCommand):
    help = "Plan a venue's year and print it; nothing is kept unless --keep is said."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--venue", required=True, metavar="SLUG")
        parser.add_argument("--year", required=True, type=int)
        parser.add_argument("--seconds", type=int, default=60)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--repeatable", action="store_true", help="the same plan every time")
        parser.add_argument("--keep", action="store_true", help="keep the plan as a draft")
        parser.add_argument("--json", action="store_true", help="one line of JSON and nothing else")

    def handle(self, *args: Any, **asked: Any) -> None:
        venue = Venue.objects.filter(slug=asked["venue"]).first()
        if venue is None:
            raise CommandError(f"There is no venue “{asked['venue']}”.")
        if not 1 <= asked["seconds"] <= MOST_SECONDS:
            raise CommandError(f"Search for 1 to {MOST_SECONDS} seconds.")
        at = timezone.now()
        first, days = days_of(asked["year"], at.astimezone(venue.zone).date())
        found = house_of(venue, first, days, at)
        if not found.house.plans:
            raise CommandError(
                "Nothing comes round here yet: apply regimes to the equipment first."
            )
        baselines = list(_baselines(found.house))
        made = _search(found, asked)
        told = line_of("plan", made.evaluation, made.seconds, made)
        told["late_already"] = late_already(found.house)["days"]
        spending = spending_against(venue, paid_by_year(found.house, made.tasks))
        told["budgets"] = [each.told for each in spending]
        if asked["keep"]:
            plan = keep_as_draft(found=found, made=made, seconds=asked["seconds"],
                                 seed=asked["seed"], by=None, at=at)  # fmt: skip
            told["kept_as"] = plan.pk
        if asked["json"]:
            whole = {"venue": venue.slug, "first_day": first.isoformat(), "days": days}
            self.stdout.write(json.dumps({**whole, **told, "baselines": baselines}))
        else:
            del told["budgets"]
            self.stdout.write("\n".join(_printed(found, made, [told, *baselines], spending)))


def days_of(year: int, today: date) -> tuple[date, int]:
    """The year's days, those to come where it has begun."""
    first, last = max(date(year, 1, 1), today + timedelta(days=1)), date(year, 12, 31)
    if first > last:
        raise CommandError(f"{year} is over.")
    return first, (last - first).days + 1


def _search(found: HouseOf, asked: dict[str, Any]) -> Made:
    options = Options(
        seconds=float(asked["seconds"]), seed=asked["seed"], repeatable=asked["repeatable"],
        memory_mb=MEMORY_MB,
    )  # fmt: skip
    try:
        return search(found, options, PlanProgress(asked["seconds"]))
    except CannotPlan as refusal:
        raise CommandError(str(refusal)) from refusal


def _baselines(house: House) -> Iterator[dict[str, Any]]:
    groups, capacity = groups_of(house), Capacity(house)
    for name, make in BASELINES:
        began = time.monotonic()
        judged = evaluate(house, make(house, groups, capacity))
        yield line_of(name, judged, time.monotonic() - began)


def line_of(
    name: str, judged: Evaluation, seconds: float, made: Made | None = None
) -> dict[str, Any]:
    """One plan as figures. Money in the larger coin; a baseline has no bound."""
    stage = next((each for each in made.stages if each.aim == COST), None) if made else None
    return {
        "plan": name,
        "late_days": judged.late_days,
        "cost": judged.cost / 100,
        "bound": stage.bound / 100 if stage else None,
        "gap": round(stage.gap, 4) if stage else None,
        "visit_days": judged.visit_days,
        "isolations": judged.set_up_count,
        "moves": judged.moved,
        "tasks": judged.executions,
        "overtime_h": judged.overtime_quarters / 4,
        "faults": len(judged.faults),
        "first_s": round(made.first_seconds if made else seconds, 2),
        "wall_s": round(seconds, 2),
        "peak_mb": made.peak_mb if made else peak_mb(),
    }


def _printed(
    found: HouseOf, made: Made, lines: list[dict[str, Any]], spending: list[Spending]
) -> Iterator[str]:
    for task in made.tasks:
        yield f"{slot_words(found.house, task.slot)}: {task.plan}"
    yield ""
    for line in lines:
        yield ", ".join(f"{name} {value}" for name, value in line.items() if value is not None)
    yield from (f"{each.over_words()}." for each in spending if each.over)
    for title, sentences in (("Not known", found.unknowns), ("Rests on", found.assumptions)):
        yield from ("", f"{title}:", *(f"- {sentence}" for sentence in sentences))
    if made.contradiction:
        yield from ("", "Why not everything can be on time:", *made.contradiction["no_days"])
        yield from (
            f"- {gain['words']}: {gain['after']} days late" for gain in made.contradiction["gains"]
        )
