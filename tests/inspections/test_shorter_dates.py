"""An examiner's shorter next date: it rules at once, for the next task, and never lengthens."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inspections.actions.fill_check import keep_answer, start_task_check
from inspections.actions.generate_tasks import generate_tasks
from inspections.actions.plans import apply_regime, end_plan
from inspections.actions.shorten_date import DateRefused, shorten_date
from inspections.actions.submit_check import submit_check
from inspections.actions.tasks import cancel_task, change_task
from tests.house import NOW, TODAY, make_house
from tests.venue.screens import faults, signed_in, words
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house():
    house = make_house()
    house.plan = plan_of(house, TODAY, NOW)
    return house


def plan_of(house, last: date, at):
    return apply_regime(
        equipment=house.winch, regime=house.regime, anchor=last, last_done_on=last,
        by=house.people["manager"], at=at,
    )  # fmt: skip


def shorten(house, day: date, why: str = "Six wires since May") -> None:
    shorten_date(plan=house.plan, no_later_than=day, why=why, by=house.people["examiner"], at=NOW)


def dates(house) -> list[tuple[date, date, date]]:
    rows = house.plan.tasks.filter(state="open").order_by("number")
    return list(rows.values_list("due_on", "planned_on", "last_lawful_on"))


SOON = TODAY + timedelta(days=10)


def test_the_shorter_date_rules_the_next_task_and_no_other(house):
    before = dates(house)
    shorten(house, SOON)
    after = dates(house)
    assert after[0][0] == after[0][2] == SOON
    assert TODAY <= after[0][1] <= SOON
    assert after[1:] == before[1:]
    house.plan.refresh_from_db()
    assert house.plan.next_no_later_than == SOON
    line = LogLine.objects.get(did="shorten_date")
    assert line.by.name == "Examiner"
    assert '"why":"Six wires since May"' in line.body
    assert f'"last_lawful_on":"{before[0][2]}"' in line.body
    assert f'"last_lawful_on":"{SOON}"' in line.body


def test_the_same_date_sent_twice_is_told_once(house):
    shorten(house, SOON)
    shorten(house, SOON)
    assert LogLine.objects.filter(did="shorten_date").count() == 1


def test_it_can_be_shortened_again_and_never_lengthened(house):
    before = dates(house)[0]
    with pytest.raises(DateRefused, match="never a later one"):
        shorten(house, before[2])
    shorten(house, SOON)
    with pytest.raises(DateRefused, match="never a later one"):
        shorten(house, SOON + timedelta(days=1))
    assert dates(house)[0][2] == SOON
    shorten(house, TODAY)
    assert dates(house)[0] == (TODAY, TODAY, TODAY)


def test_a_day_that_has_passed_and_a_missing_reason_are_refused(house):
    before = dates(house)
    with pytest.raises(DateRefused, match="take it out of service"):
        shorten(house, TODAY - timedelta(days=1))
    with pytest.raises(DateRefused, match="Say why"):
        shorten(house, SOON, why="  ")
    assert dates(house) == before
    assert not LogLine.objects.filter(did="shorten_date").exists()


def test_a_day_that_people_agreed_gives_way_when_it_is_too_late(house):
    task = house.plan.tasks.order_by("number").first()
    change_task(
        task=task, planned_on=SOON + timedelta(days=5), person=house.people["stagehand"], why="",
        by=house.people["manager"], at=NOW,
    )  # fmt: skip
    shorten(house, SOON)
    task.refresh_from_db()
    assert task.planned_on <= SOON
    assert not task.day_agreed
    assert task.person == house.people["stagehand"]


def test_after_a_cancelled_task_the_next_open_one_is_shortened(house):
    first, second = house.plan.tasks.order_by("number")[:2]
    cancel_task(task=first, why="House closed", by=house.people["manager"], at=NOW)
    shorten(house, SOON)
    second.refresh_from_db()
    assert (second.due_on, second.last_lawful_on) == (SOON, SOON)


def test_generating_tasks_again_keeps_the_shorter_date(house):
    shorten(house, SOON)
    generate_tasks(venue=house.venue, by=None, at=NOW)
    assert dates(house)[0][2] == SOON


def test_once_it_is_done_the_usual_interval_counts_again(house):
    shorten(house, SOON)
    task = house.plan.tasks.filter(state="open").order_by("number").first()
    by = house.people["competent"]
    draft = start_task_check(task=task, by=by, at=NOW)
    answers = {
        "dia_1_a": "0.2475 in", "dia_1_b": "0.2475 in", "instrument": "Caliper", "looked": "yes",
        "broken_lay": "0", "broken_strand_count": "0", "broken_valley": "0", "broken_end": "0",
    }  # fmt: skip
    for key, typed in (("running_rope", answers), ("rope_identified", {"given": "yes"})):
        keep_answer(draft=draft, key=f"{key}.{house.rope.pk}", typed=typed, at=NOW)
    submit_check(draft=draft, by=by, at=NOW)
    task.refresh_from_db()
    assert task.state == "done"
    house.plan.refresh_from_db()
    assert house.plan.next_no_later_than is None
    assert dates(house)[0][2] > SOON


def test_an_ended_plan_has_no_next_date(house):
    end_plan(plan=house.plan, why="Sold", by=house.people["manager"], at=NOW)
    house.plan.refresh_from_db()
    with pytest.raises(DateRefused, match="No task"):
        shorten(house, SOON)


def page(house) -> str:
    return f"/v/larkspur/plans/{house.plan.pk}/date/"


@pytest.mark.parametrize("role", ["examiner", "manager"])
def test_the_examiner_sets_it_on_screen_and_the_manager_enters_it(house, role):
    end_plan(plan=house.plan, why="Begun anew", by=house.people["manager"], at=NOW)
    today = timezone.now().date()
    house.plan = plan_of(house, today, timezone.now())
    client = signed_in(house.people[role])
    assert page(house) in client.get(f"/v/larkspur/equipment/{house.winch.pk}/").content.decode()
    assert "never later" in words(client.get(page(house)))
    typed = {"no_later_than": str(today + timedelta(days=400)), "why": "Six wires"}
    refused = client.post(page(house), typed)
    assert "never a later one" in faults(refused)["__all__"][0]
    assert refused.context["form"]["why"].value() == "Six wires"
    assert faults(client.post(page(house), {"no_later_than": "soon", "why": ""})).keys() == {
        "no_later_than", "why",
    }  # fmt: skip
    sent = client.post(page(house), typed | {"no_later_than": str(today + timedelta(days=3))})
    assert sent.url == f"/v/larkspur/equipment/{house.winch.pk}/"
    assert dates(house)[0][2] == today + timedelta(days=3)


@pytest.mark.parametrize("role", ["competent", "stagehand", "auditor"])
def test_others_may_not_set_it(house, role):
    client = signed_in(house.people[role])
    assert client.post(page(house), {"no_later_than": str(SOON), "why": "x"}).status_code == 403
    stranger = signed_in(house.people["other manager"])
    assert stranger.post(page(house), {"no_later_than": str(SOON), "why": "x"}).status_code == 404
