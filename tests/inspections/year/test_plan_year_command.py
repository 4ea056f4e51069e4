"""`manage.py plan_year` prints the plan of a year, and as one line of JSON on demand."""

from __future__ import annotations

import json
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.management import CommandError, call_command

from inspections.models import YearPlan
from tests.house import NOW
from tests.inspections.year.year_house import make_winches, make_year_house

pytestmark = pytest.mark.django_db
FIGURES = {
    "late_days", "cost", "bound", "gap", "visit_days", "isolations", "moves", "first_s", "wall_s",
    "peak_mb",
}  # fmt: skip


@pytest.fixture(autouse=True)
def _at_that_time() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def house() -> Any:
    house = make_year_house()
    make_winches(house, 2)
    return house


def run(*more: str) -> str:
    out = StringIO()
    asked = ["--venue", "larkspur", "--year", "2026", "--seconds", "2", "--repeatable", *more]
    call_command("plan_year", *asked, stdout=out)
    return out.getvalue()


def test_one_line_of_json_holds_the_plan_and_both_baselines(house: Any) -> None:
    lines = run("--json").strip().splitlines()
    assert len(lines) == 1
    told = json.loads(lines[0])
    assert set(told) >= FIGURES
    assert (told["first_day"], told["days"]) == ("2026-05-05", 241), "what is left of the year"
    assert [set(each) >= FIGURES for each in told["baselines"]] == [True, True]
    assert told["faults"] == 0
    earliest, cheapest = told["baselines"]
    assert told["cost"] <= min(earliest["cost"], cheapest["cost"])
    assert 0 < told["bound"] <= told["cost"]
    assert (earliest["bound"], earliest["gap"]) == (None, None)
    assert told["peak_mb"] > 20
    assert not YearPlan.objects.exists()


def test_in_words_it_prints_every_task_the_figures_and_what_it_rests_on(house: Any) -> None:
    said = run()
    assert "2026, morning: W1: " in said or "2026, afternoon: W1: " in said
    assert "plan earliest that fits" in said
    assert "Rests on:" in said


def test_the_plan_is_kept_as_a_draft_on_demand(house: Any) -> None:
    told = json.loads(run("--json", "--keep"))
    plan = YearPlan.objects.get(pk=told["kept_as"])
    assert (plan.state, plan.planned.count()) == ("draft", told["tasks"])


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("--venue", "nowhere", "--year", "2027"), "There is no venue"),
        (("--venue", "larkspur", "--year", "2020"), "2020 is over"),
        (("--venue", "larkspur", "--year", "2027", "--seconds", "0"), "Search for 1 to"),
        (("--venue", "tern-studio", "--year", "2027"), "Nothing comes round here yet"),
    ],
)
def test_what_makes_no_sense_is_refused(house: Any, asked: tuple[str, ...], words: str) -> None:
    with pytest.raises(CommandError, match=words):
        call_command("plan_year", *asked, stdout=StringIO())
