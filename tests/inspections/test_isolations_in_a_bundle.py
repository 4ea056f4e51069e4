"""A bundle tells what its days' year plans asked to have isolated, and what nobody wrote down.

What was changed in that table is found by the scripts that lie in the bundle.
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from inspections.actions.publish_year_plan import publish_year_plan
from inspections.models import Task, YearPlan
from inspections.queries.isolation_rows import _standing
from inspections.queries.made_ready import isolations
from tests.house import NOW
from tests.inspections.proof_house import House
from tests.inspections.season import completeness, run, table
from tests.inspections.year.year_house import make_draft, make_year_house
from tests.tamper.parts import table_of, write_table

pytestmark = pytest.mark.django_db


def test_a_published_plan_tells_the_log_what_is_made_ready_and_for_what() -> None:
    house = make_year_house()
    plan = make_draft(house)
    assert list(isolations(house.venue)) == []
    publish_year_plan(year_plan=plan, by=house.people["manager"], at=NOW)
    found = list(isolations(house.venue))
    locked = [each for each in found if each.what == "machine_locked"]
    monthly = plan.planned.filter(plan__regime="winch_ropes_monthly")
    assert {row.pk for row in monthly} <= {each.planned for each in locked}
    row = monthly.get(pk=min(row.pk for row in monthly))
    (told,) = [each for each in locked if each.planned == row.pk]
    assert (told.day, told.half, told.tag, told.kind) == (
        row.day, row.half, row.equipment.tag, "isolation"
    )  # fmt: skip


def test_an_isolation_is_told_with_its_notice_its_letter_and_what_came_of_it(bundle: Path) -> None:
    rows = table(bundle, "isolations")
    assert [(row["what"], row["day"], row["equipment"]) for row in rows] == [
        ("detector_isolated", "2026-02-10", "CW-01"), ("machine_locked", "2026-02-10", "CW-01"),
    ]  # fmt: skip
    detector, machine = rows
    assert (detector["days of notice"], detector["notice to be sent by"]) == ("3", "2026-02-07")
    assert detector["letter of notice asked for"].startswith("2026-01-11")
    assert machine["letter of notice asked for"] == ""
    assert (machine["standing"], machine["done on"]) == ("the task was done", "2026-02-10")
    assert {row["made at"] + row["ended at"] for row in rows} == {"not recordednot recorded"}
    assert json.loads((bundle / "data" / "isolations.json").read_text()) == rows


def test_the_counts_tell_of_isolations_of_other_days_and_what_is_not_recorded(bundle: Path) -> None:
    said = completeness(bundle)
    assert said["counts"]["isolations"] == {
        "in this bundle": 2, "counted in these days": 2, "in the whole book": 3
    }  # fmt: skip
    assert said["by outcome"]["isolations"] == {"the task was done": 2}
    words = " ".join(said["what the book does not record"])
    assert "not whether it was sent" in words
    assert "outside of a year plan none is recorded" in words


def _without_the_last(bundle: Path) -> None:
    write_table(bundle, "isolations", table_of(bundle, "isolations")[:-1])


def _another(column: str, text: str) -> Any:
    def change(bundle: Path) -> None:
        rows = table_of(bundle, "isolations")
        rows[1][rows[0].index(column)] = text
        write_table(bundle, "isolations", rows)

    return change


def _another_in_json(bundle: Path) -> None:
    path = bundle / "data" / "isolations.json"
    path.write_text(path.read_text().replace("the task was done", "planned"))


@pytest.mark.parametrize(
    ("change", "script", "said"),
    [
        (_without_the_last, "verify_complete.py", "machine_locked for CW-01 on 2026-02-10"),
        (_another("day", "2026-02-11"), "verify_complete.py", "not in the table"),
        (_another("day", "2026-02-11"), "verify_tables.py", "another day than the log"),
        (_another("what", "power_off"), "verify_tables.py", "another what than the log"),
        (_another("isolation", "1-9"), "verify_tables.py", "the log does not know it"),
        (_another("letter of notice asked for", ""), "verify_tables.py", "letter of notice"),
        (_another_in_json, "verify_tables.py", "isolations.json says something else"),
    ],
)
def test_a_changed_or_missing_isolation_is_found_by_the_scripts(
    bundle: Path, change: Any, script: str, said: str
) -> None:
    assert run(f"python3 -I {script}", bundle).returncode == 0
    change(bundle)
    done = run(f"python3 -I {script}", bundle)
    assert done.returncode == 1
    assert said in done.stdout


def test_its_standing_asks_first_what_was_done_then_what_was_replaced_then_what_is_known(
    season: House,
) -> None:
    (first, *_) = isolations(season.venue)
    (plan,) = YearPlan.objects.filter(state="published")
    later = YearPlan(
        pk=plan.pk + 1, venue=season.venue, first_day=plan.first_day, days=60,
        published_at=plan.published_at + timedelta(days=1),
    )  # fmt: skip
    done, still_open = Task(state=Task.State.DONE), Task(state=Task.State.OPEN)
    after, before = first.day + timedelta(days=1), first.day

    def said(task: Task | None, plans: list[YearPlan], today: date) -> str:
        return _standing(first, task, plans, today)

    assert said(done, [plan, later], after) == "the task was done"
    assert said(still_open, [plan, later], after) == "another plan took its place"
    assert said(None, [plan, later], after) == "another plan took its place"
    assert said(None, [plan], after) == "its day passed and no task is known"
    assert said(None, [plan], before) == said(still_open, [plan], before) == "planned"
    assert said(still_open, [plan], after) == "its day passed and the task is open"
