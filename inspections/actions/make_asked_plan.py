"""Search for the plan that a job asks for, and keep what was found."""

from __future__ import annotations

import re
import resource
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from django.db import transaction

from inspections.actions.ask_for_plan import CannotPlan
from inspections.actions.background_jobs import end_job
from inspections.actions.keep_year_plan import keep_year_plan
from inspections.late_already import late_already
from inspections.models import Job, YearPlan
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.greedy import cheapest_fit, earliest_fit
from inspections.planning.groups import groups_of
from inspections.planning.house import House, Task
from inspections.planning.outcome import Options
from inspections.queries.house_of import HouseOf, house_of
from inspections.year_figures import Made, figures_of
from inspections.year_progress import EXPLAINING, PlanProgress

MEMORY_MB = 2000
# A kind of work is told apart by the name of its file, which says nothing to whoever reads a reason.
BY_SLUG = re.compile(r" \([a-z0-9]+(?:_[a-z0-9]+)+\)(?= \(\d+ of them\))")
# What explaining may take beside the search, where not everything can be on time.
EXPLAIN_SHARE, MOST_EXPLAINING = 0.3, 60.0


def make_asked_plan(*, job: Job, at: datetime, progress: PlanProgress) -> bool:
    """False when the job was somebody else's in the end: then nothing is kept. Raises CannotPlan."""
    year_plan = YearPlan.objects.select_related("venue").get(job=job)
    first_day = date.fromisoformat(job.asked["first_day"])
    draft = YearPlan.objects.filter(venue=year_plan.venue, pk=job.asked.get("locks_of")).first()
    found = house_of(year_plan.venue, first_day, job.asked["days"], at, draft=draft)
    options = Options(
        seconds=float(job.asked["seconds"]), seed=job.asked["seed"],
        repeatable=job.asked["repeatable"], memory_mb=MEMORY_MB,
    )  # fmt: skip
    made = search(found, options, progress)
    told = figures_of(made.evaluation)
    with transaction.atomic():
        year_plan.refresh_from_db()
        if year_plan.state == YearPlan.State.WITHDRAWN:
            raise CannotPlan("The plan was withdrawn while it was being made.")
        if not end_job(job=job, result=told):
            return False
        keep_year_plan(year_plan=year_plan, found=found, made=made, by=job.by, at=at)
    return True


def search(found: HouseOf, options: Options, progress: PlanProgress) -> Made:
    """The plan with its bounds, the two plans a person would make, and why not all is on time."""
    # Large to load, and needed here alone.
    from inspections.planning.solve import plan_year

    house = found.house
    try:
        baselines = _baselines(house)
        listener = progress.listen_for(_numbers(found), late_already(house))
        outcome = plan_year(house, options, listener)
    except ValueError as refusal:
        raise CannotPlan(f"The planner cannot work with this house: {refusal}") from refusal
    contradiction = None
    if outcome.evaluation.late_days:
        progress.now = EXPLAINING
        contradiction = _explained(house, options, outcome.tasks)
    return Made(
        outcome.tasks, outcome.evaluation, outcome.stages, "searched", outcome.first_seconds,
        outcome.seconds, peak_mb(), baselines, contradiction,
    )  # fmt: skip


def _numbers(found: HouseOf) -> dict[str, int]:
    return {key: pk for pk, key in found.keys.items()}


def _baselines(house: House) -> dict[str, Evaluation]:
    groups, capacity = groups_of(house), Capacity(house)
    return {
        "earliest": evaluate(house, earliest_fit(house, groups, capacity)),
        "cheapest": evaluate(house, cheapest_fit(house, groups, capacity)),
    }


def _explained(house: House, options: Options, tasks: tuple[Task, ...]) -> dict[str, Any] | None:
    """Why not everything can be on time and what would free it, in words."""
    from inspections.planning.infeasible import explain

    seconds = min(MOST_EXPLAINING, max(5.0, EXPLAIN_SHARE * options.seconds))
    said = explain(house, replace(options, seconds=seconds), tasks)
    if said is None:
        return None
    return {
        "least_late_days": said.least.late_days,
        "least_proven": said.least.bound,
        "no_days": [each.words for each in said.no_days],
        "reasons": [BY_SLUG.sub("", words) for words in said.reasons],
        "reasons_are_minimal": said.reasons_are_minimal,
        "gains": [
            {"words": gain.words, "before": gain.late_before, "after": gain.late_after}
            for gain in said.gains
        ],
    }


def peak_mb() -> int:
    """The most memory that this process has had."""
    return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
