"""A check of whose every answer is "not applicable" closes nothing until a competent person says why."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from inspections.actions.close_task import CannotConfirm, confirm_nothing_applies
from inspections.actions.fill_check import keep_answer, start_task_check
from inspections.actions.plans import apply_regime
from inspections.actions.shorten_date import shorten_date
from inspections.actions.submit_check import submit_check
from inspections.actions.tasks import NeedsReason, TaskNotOpen
from inspections.consequences import nothing_applied, why_still_open
from inspections.models import Plan, Record, Task
from inspections.queries.state import state_of
from inspections.regime_files import regimes
from tests.house import NOW, TODAY, make_house
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]
NONE_HERE = {"given": "not_applicable", "reason": "Struck for the season"}


@pytest.fixture
def house() -> Any:
    house = make_house()
    house.regime = regimes()["winch_frequent_monthly"]
    plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=TODAY, last_done_on=None,
        by=house.people["manager"], at=NOW,
    )  # fmt: skip
    house.task = plan.tasks.order_by("number").first()
    return house


def check(house: Any, who: str, **last: str) -> Record:
    """Every answer "not applicable", the last one as said."""
    person = house.people[who]
    draft = start_task_check(task=house.task, by=person, at=NOW)
    for each in house.regime.checks:
        typed = last if last and each is house.regime.checks[-1] else NONE_HERE
        keep_answer(draft=draft, key=key_of(house, each), typed=typed, at=NOW)
    return submit_check(draft=draft, by=person, at=NOW)


def key_of(house: Any, each: Any) -> str:
    parts = [part for part in house.winch.parts.all() if part.kind == each.part_kind]
    return f"{each.slug}.{parts[0].pk}" if parts else each.slug


def confirm(house: Any, who: str, why: str = "Winch struck until spring") -> None:
    confirm_nothing_applies(task=house.task, why=why, by=house.people[who], at=NOW)


def state(house: Any) -> str:
    house.task.refresh_from_db()
    return house.task.state


def test_the_record_is_kept_and_the_task_stays_open(house: Any) -> None:
    record = check(house, "competent")
    assert Record.objects.get() == record
    assert (record.may_sign, record.state) == (True, "not judged")
    assert state(house) == "open"
    assert house.task.plan.last_done_on is None
    assert state_of(house.winch, TODAY).state != "fit"


def test_one_thing_looked_at_closes_it(house: Any) -> None:
    assert house.regime.checks[-1].answer == "yes_no"
    check(house, "competent", given="yes")
    assert state(house) == "done"


def test_the_pages_say_why_and_a_competent_person_closes_it(house: Any) -> None:
    client = Client()
    client.force_login(house.people["second"])
    start = client.post(f"/v/larkspur/tasks/{house.task.pk}/check/").url
    posted = {
        f"{key_of(house, each)}:{name}": value
        for each in house.regime.checks
        for name, value in NONE_HERE.items()
    }
    client.post(start, posted)
    record_page = client.post(f"{start}submit/", {"remark": ""}, follow=True).content.decode()
    assert "Its task stays open: nothing was looked at" in record_page
    address = f"/v/larkspur/tasks/{house.task.pk}/"
    page = client.get(address).content.decode()
    assert "every answer is “not applicable”, so the task stays open" in page
    refused = client.post(f"{address}confirm/", {"why": " "}, follow=True).content.decode()
    assert "Say why nothing of this check applies" in refused
    assert state(house) == "open"
    closed = client.post(f"{address}confirm/", {"why": "Struck until spring"}, follow=True)
    assert "Closed because" in closed.content.decode()
    assert "Struck until spring" in closed.content.decode()
    assert (state(house), house.task.closed_why) == ("done", "Struck until spring")
    assert house.task.done_on == Record.objects.get().done_on
    line = LogLine.objects.get(did="confirm_nothing_applies")
    assert (line.by, str(Record.objects.get().pk) in line.body) == (house.people["second"], True)


@pytest.mark.parametrize("who", ["stagehand", "auditor"])
def test_who_is_not_competent_does_not_confirm(house: Any, who: str) -> None:
    check(house, "stagehand")
    with pytest.raises(CannotConfirm):
        confirm(house, who)
    assert state(house) == "open"
    assert not LogLine.objects.filter(did="confirm_nothing_applies").exists()
    client = Client()
    client.force_login(house.people[who])
    assert (
        "Confirm and close"
        not in client.get(f"/v/larkspur/tasks/{house.task.pk}/").content.decode()
    )


def test_a_reason_and_an_open_task_are_needed_and_the_plan_moves_on_once(house: Any) -> None:
    check(house, "stagehand")
    with pytest.raises(NeedsReason):
        confirm(house, "second", why="  ")
    confirm(house, "second")
    plan = house.task.plan
    plan.refresh_from_db()
    assert (plan.last_done_on, plan.last_done_number) == (TODAY, house.task.number)
    Task.objects.filter(plan=plan, state="open").update(state="cancelled")
    with pytest.raises(TaskNotOpen):
        confirm(house, "second")


def test_only_a_record_that_says_so_is_confirmed(house: Any) -> None:
    with pytest.raises(CannotConfirm):
        confirm(house, "second")
    check(house, "competent", given="could_not_look", reason="Door locked")
    with pytest.raises(CannotConfirm):
        confirm(house, "second")
    assert state(house) == "open"


def test_a_record_made_too_early_for_a_fixed_day_is_not_confirmed(house: Any) -> None:
    check(house, "competent")
    Task.objects.filter(pk=house.task.pk).update(due_on=TODAY + timedelta(days=90))
    Plan.objects.filter(pk=house.task.plan_id).update(counting="anchored", early="P7D")
    house.task = Task.objects.get(pk=house.task.pk)
    with pytest.raises(CannotConfirm, match="too early"):
        confirm(house, "second")
    assert state(house) == "open"


def test_a_record_older_than_an_examiners_shorter_date_is_not_confirmed(house: Any) -> None:
    check(house, "competent")
    Task.objects.filter(plan=house.task.plan_id).update(
        due_on=TODAY + timedelta(days=20), last_lawful_on=TODAY + timedelta(days=25)
    )
    shorten_date(
        plan=Plan.objects.get(pk=house.task.plan_id), no_later_than=TODAY + timedelta(days=5),
        why="Wires", by=house.people["examiner"], at=NOW + timedelta(hours=1),
    )  # fmt: skip
    house.task = Task.objects.get(pk=house.task.pk)
    with pytest.raises(CannotConfirm, match="examiner"):
        confirm(house, "second")
    assert state(house) == "open"


def test_what_keeps_a_task_open_in_words() -> None:
    assert nothing_applied([])
    assert "nothing was looked at" in why_still_open(True, [])
    assert "not everything" in why_still_open(True, ["yes", "could_not_look"])
    assert "may not sign" in why_still_open(False, ["yes"])
    assert why_still_open(True, ["yes", "not_applicable"]) == ""
