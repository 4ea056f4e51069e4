"""What a manager tells the planner: entered on its pages, logged, and used by the next plan."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from inspections.models import (
    Absence,
    ExaminerTrade,
    HoursChoice,
    PlanningSettings,
    SetUpPrice,
    WorkingWeek,
)
from inspections.queries.house_of import house_of
from tests.house import NOW
from tests.inspections.year.year_house import DAYS, MONDAY, make_record, make_year_house
from venue.models import LogLine

pytestmark = pytest.mark.django_db
WHOLE = {
    "money_unit": "£", "hour_price": "40", "overtime_price": "20", "early_price": "1",
    "week_target_hours": "10", "margin_days": "5", "morning_starts": "9", "noon": "12",
    "afternoon_ends": "17", "longest_pause": "4", "left_beside_a_show": ["house_empty"],
}  # fmt: skip


ROPES = {"regime": "winch_ropes_monthly", "family": "winch"}


@pytest.fixture(autouse=True)
def _at_that_time() -> Any:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def house() -> Any:
    return make_year_house()


def ask(
    house: Any, name: str, *more: object, typed: dict | None = None, who: str = "manager"
) -> Any:
    client = Client()
    client.force_login(house.people[who])
    where = reverse(name, args=[house.venue.slug, *more])
    return client.get(where) if typed is None else client.post(where, typed)


def test_what_is_not_entered_is_shown_as_assumed(house: Any) -> None:
    shown = ask(house, "planning_settings").content.decode()
    assert "these are the book’s own figures" in shown
    assert "No: assumed" in shown
    assert "Monday, Tuesday, Wednesday, Thursday, Friday" in shown
    assert not PlanningSettings.objects.exists(), "looking stores nothing"


def hours_row(house: Any) -> str:
    """The words of the row of the monthly ropes."""
    shown = ask(house, "planning_settings").content.decode()
    rows = shown.partition('id="hours"')[2].split("<tr>")
    (row,) = [row for row in rows if "Running ropes of a winch, monthly" in row]
    return " ".join(re.sub(r"<[^>]+>", " ", row).split())


def test_estimate_and_median_stand_side_by_side_with_their_count(house: Any) -> None:
    assert "1 h None yet The estimate" in hours_row(house)
    for minutes in (20, 25, 100):
        make_record(house, minutes)
    make_record(house, 5)
    assert (
        "1 h 0.5 h 3 records, no hours entered 1 form left out, open too briefly or too long "
        "Hours on record Use the estimate"
    ) in hours_row(house)
    for hours in ("2", "3", "5"):
        make_record(house, 5, hours=hours)
    assert "1 h 3 h 3 records, 3 with hours entered Hours on record" in hours_row(house)
    shown = ask(house, "planning_settings").content.decode()
    assert "beside 0.5 h of the examiner" in shown
    assert "an examiner’s visit is booked by the day" in shown


def test_two_records_are_said_to_be_too_few(house: Any) -> None:
    for _ in range(2):
        make_record(house, 60)
    assert "1 h 2 records; three are needed The estimate" in hours_row(house)


def test_hours_that_pass_a_half_day_are_said_with_why(house: Any) -> None:
    for _ in range(3):
        make_record(house, 5, hours="5")
    words = "in 2 half-days because one person’s hours do not fit into fewer"
    assert words in hours_row(house)


def test_a_manager_goes_back_to_the_estimate_and_to_the_hours_again(house: Any) -> None:
    for _ in range(3):
        make_record(house, 5, hours="2")
    for _ in range(2):  # a second tap changes nothing
        typed = ROPES | {"keep_estimate": "yes"}
        assert ask(house, "hours_choice", typed=typed).status_code == 302
    assert "The estimate Use the hours on record" in hours_row(house)
    assert ask(house, "hours_choice", typed=ROPES).status_code == 302
    assert "Hours on record Use the estimate" in hours_row(house)
    lines = LogLine.objects.filter(did="set_hours_choice").order_by("number")
    assert ['"keep_estimate":true' in line.body.partition('"before"')[0] for line in lines] == [
        True, False,
    ]  # fmt: skip


def test_only_a_manager_chooses_and_only_for_a_check_that_comes_round(house: Any) -> None:
    for who in ("competent", "stagehand", "examiner", "auditor"):
        assert ask(house, "hours_choice", typed=ROPES, who=who).status_code == 403
    assert ask(house, "hours_choice", typed=ROPES, who="other manager").status_code == 404
    assert ask(house, "hours_choice").status_code == 405
    client = Client()
    client.force_login(house.people["manager"])
    for typed in ({}, ROPES | {"family": "magic"}):
        where = reverse("hours_choice", args=[house.venue.slug])
        assert "No such check comes" in client.post(where, typed, follow=True).content.decode()
    assert not HoursChoice.objects.exists()


def test_prices_of_the_venue_are_used_by_the_next_plan_and_logged_once(house: Any) -> None:
    for _ in range(2):
        assert ask(house, "planning_settings", typed=WHOLE).status_code == 302
    assert LogLine.objects.filter(did="set_planning").count() == 1
    pure = house_of(house.venue, MONDAY, DAYS, NOW).house
    assert (pure.week_target, pure.margin_days, pure.overtime_price) == (40, 5, 500)
    assert pure.plan_of["W1: Running ropes of a winch, monthly"].price == 4000
    row = PlanningSettings.objects.get()
    assert (row.hour_price, row.left_beside_a_show) == (Decimal(40), ["house_empty"])
    assert row.longest_pause == 4


def test_halves_of_a_day_that_do_not_follow_each_other_are_refused(house: Any) -> None:
    page = ask(house, "planning_settings", typed=WHOLE | {"noon": "8"}).content.decode()
    assert "The halves of a day follow each other" in page
    assert not PlanningSettings.objects.exists()


def test_a_working_week_is_entered_and_changed(house: Any) -> None:
    tam = house.people["competent"]
    for half_days in (["0", "3"], ["4"]):
        typed = {"half_days": half_days, "hours": "2", "overtime_hours": "0"}
        assert ask(house, "working_week", tam.pk, typed=typed).status_code == 302
    row = WorkingWeek.objects.get()
    assert (row.person, row.half_days) == (tam, [4])
    assert "Wednesday morning" in ask(house, "planning_settings").content.decode()
    bodies = [
        line.body for line in LogLine.objects.filter(did="set_working_week").order_by("number")
    ]
    assert '"half_days":["0","3"]' in bodies[1], "the log holds what it was before"


@pytest.mark.parametrize("who", ["auditor", "examiner", "other manager"])
def test_nobody_has_a_working_week_who_does_not_work_here(house: Any, who: str) -> None:
    assert ask(house, "working_week", house.people[who].pk).status_code == 404


def test_an_absence_is_entered_once_and_taken_out_again(house: Any) -> None:
    typed = {
        "person": str(house.people["second"].pk), "first_day": "2026-05-11",
        "last_day": "2026-05-15", "why": "Leave",
    }  # fmt: skip
    for _ in range(2):
        ask(house, "add_absence", typed=typed)
    absence = Absence.objects.get()
    shown = ask(house, "planning_settings").content.decode()
    assert "11 May 2026 to 15 May 2026, Leave" in shown
    wrong = ask(house, "add_absence", typed=typed | {"last_day": "2026-05-10"})
    assert wrong.status_code == 422
    assert "before the first" in wrong.content.decode()
    assert ask(house, "end_absence", absence.pk, typed={}, who="other manager").status_code == 404
    ask(house, "end_absence", absence.pk, typed={})
    assert not Absence.objects.exists()
    dids = LogLine.objects.filter(did__endswith="absence").values_list("did", flat=True)
    assert sorted(dids) == ["add_absence", "end_absence"]


def test_an_absence_of_somebody_elses_house_is_refused(house: Any) -> None:
    typed = {"person": str(house.people["other manager"].pk), "first_day": "2026-05-11",
             "last_day": "2026-05-15"}  # fmt: skip
    assert ask(house, "add_absence", typed=typed).status_code == 422


def test_an_examiners_days_are_entered_and_nonsense_is_refused(house: Any) -> None:
    typed = {
        "day_fee": "1000", "hours_a_day": "6", "notice_days": "7", "weekdays": ["1", "2"],
        "arranged": "2026-06-03\n2026-06-01", "person": str(house.people["examiner"].pk),
    }  # fmt: skip
    assert ask(house, "examiner_trade", "lifting", typed=typed).status_code == 302
    row = ExaminerTrade.objects.get()
    assert (row.slug, row.arranged, row.weekdays) == (
        "lifting",
        ["2026-06-01", "2026-06-03"],
        [1, 2],
    )
    page = ask(house, "examiner_trade", "lifting").content.decode()
    assert "2026-06-01\n2026-06-03" in page
    wrong = ask(house, "examiner_trade", "lifting", typed=typed | {"arranged": "3 June"})
    assert "Write each day as" in wrong.content.decode()
    assert ask(house, "examiner_trade", "magic").status_code == 404


def test_a_price_of_what_is_made_ready_is_entered(house: Any) -> None:
    typed = {"price": "12.50", "notice_days": "1"}
    assert ask(house, "set_up_price", "machine_locked", typed=typed).status_code == 302
    assert SetUpPrice.objects.get().price == Decimal("12.50")
    assert ask(house, "set_up_price", "a_crane").status_code == 404


def test_only_a_manager_tells_the_planner(house: Any) -> None:
    for who in ("competent", "stagehand", "examiner", "auditor"):
        assert ask(house, "planning_settings", who=who).status_code == 403
        assert ask(house, "planning_settings", typed=WHOLE, who=who).status_code == 403
    assert ask(house, "planning_settings", who="other manager").status_code == 404
