"""Why a planned task is where it is, from the pure planner's own words. Worked out when asked."""

from __future__ import annotations

from datetime import datetime

from inspections.models import PlannedTask
from inspections.planning.house import Task as PureTask
from inspections.planning.why import Why, why_here
from inspections.queries.check_year_plan import check_year_plan
from inspections.year_figures import faults_in_words


def why_planned(planned: PlannedTask, now: datetime) -> dict[str, object] | None:
    """None where the plan behind it has ended: then nothing can be said of it any more."""
    checked = check_year_plan(planned.year_plan, now)
    key = checked.found.keys.get(planned.plan_id)
    if key is None:
        return None
    house, task = checked.found.house, PureTask(key, checked.slot(planned))
    why: Why = why_here(house, checked.rows, task)
    return {
        "window": why.window,
        "shared": [(each.what, each.others) for each in why.shared],
        "earlier": faults_in_words(house, [why.earlier.words])[0],
        "later": faults_in_words(house, [why.later.words])[0],
        "access": sorted(house.plan_of[key].access),
        "faults": [fault for fault in checked.faults if key in fault],
    }
