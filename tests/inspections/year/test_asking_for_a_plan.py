"""A year plan is asked for, searched in the background, and kept once, whatever happens to the worker."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from inspections import jobs
from inspections.actions import make_asked_plan
from inspections.actions.ask_for_plan import Asked, CannotPlan, ask_again, ask_for_plan
from inspections.actions.background_jobs import LEASE, MOST_ATTEMPTS, renew, take_up
from inspections.actions.lock_planned import set_locked
from inspections.actions.move_planned import move_planned
from inspections.models import Job, PlannedTask, YearPlan
from inspections.planning.outcome import COST, LATE, Progress
from inspections.queries.check_year_plan import check_year_plan
from inspections.year_progress import EXPLAINING, PlanProgress
from tests.house import NOW, TODAY, make_house
from tests.inspections.year.year_house import MONDAY, book, make_draft, make_year_house
from venue.models import LogLine

pytestmark = pytest.mark.django_db
# The lease is renewed from a thread, which sees only what is committed.
committed = pytest.mark.django_db(transaction=True)
WISH = Asked(MONDAY, 91, seconds=2, repeatable=True)


@pytest.fixture
def house() -> Any:
    return make_year_house()


def ask(house: Any, wish: Asked = WISH) -> YearPlan:
    return ask_for_plan(venue=house.venue, asked=wish, by=house.people["manager"], at=NOW)[0]


def page(house: Any, plan: YearPlan, who: str = "manager") -> Any:
    client = Client()
    client.force_login(house.people[who])
    return client.get(reverse("year_plan", args=[house.venue.slug, plan.pk]))


def test_two_clicks_are_one_job_and_one_plan(house: Any) -> None:
    first, new = ask_for_plan(venue=house.venue, asked=WISH, by=house.people["manager"], at=NOW)
    again, not_new = ask_for_plan(venue=house.venue, asked=WISH, by=house.people["manager"], at=NOW)
    assert (new, not_new, first) == (True, False, again)
    assert Job.objects.count() == YearPlan.objects.count() == 1
    assert LogLine.objects.filter(did="ask_for_plan").count() == 1
    assert ask(house, replace(WISH, seed=2)) != first


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        (replace(WISH, first_day=TODAY), "tomorrow or later"),
        (replace(WISH, first_day=TODAY + timedelta(days=401)), "within the next 400 days"),
        (replace(WISH, days=3), "at least a week"),
        (replace(WISH, days=2000), "at most three years"),
        (replace(WISH, seconds=0), "Search for 1 to"),
    ],
)
def test_a_wish_that_makes_no_sense_is_refused(house: Any, wish: Asked, words: str) -> None:
    with pytest.raises(CannotPlan, match=words):
        ask(house, wish)
    assert not Job.objects.exists()


def test_a_house_in_which_nothing_comes_round_is_refused() -> None:
    with pytest.raises(CannotPlan, match="apply regimes"):
        ask(make_house())


@committed
def test_the_plan_is_searched_kept_with_its_bounds_and_lawful_by_the_evaluator(house: Any) -> None:
    plan = ask(house)
    with time_machine.travel(NOW, tick=False):
        assert jobs.work_on(plan.job_id) == "done"
    plan.refresh_from_db()
    assert (plan.state, plan.made_at) == ("draft", NOW)
    assert plan.outcome["how"] == "searched"
    assert {stage["aim"] for stage in plan.outcome["stages"]} == {"late", "moved", "cost", "level"}
    assert all(stage["bound"] <= stage["value"] for stage in plan.outcome["stages"])
    assert plan.outcome["figures"]["late_days"] == 0
    checked = check_year_plan(plan, NOW)
    assert checked.faults == []
    assert len(checked.rows) == plan.planned.count() == plan.outcome["figures"]["tasks"]
    earliest = plan.outcome["baselines"]["earliest"]
    assert plan.outcome["figures"]["cost"] <= earliest["cost"]
    assert "proven: no plan is better" in page(house, plan).content.decode()


@committed
def test_planned_again_from_a_draft_what_is_locked_in_it_stays(house: Any) -> None:
    draft, odile = make_draft(house), house.people["manager"]
    YearPlan.objects.filter(pk=draft.pk).update(seconds=2)
    row = draft.planned.order_by("day").first()
    assert row
    day = row.day - timedelta(days=1)
    move_planned(planned=row, day=day, half="am", by=odile, at=NOW, late_is_meant=True)
    set_locked(planned=row, locked=True, by=odile, at=NOW)
    client = Client()
    client.force_login(odile)
    with time_machine.travel(NOW, tick=False):
        answer = client.post(reverse("plan_year_again", args=[house.venue.slug, draft.pk]))
        again = YearPlan.objects.latest("pk")
        assert answer.url == reverse("year_plan", args=[house.venue.slug, again.pk])
        assert jobs.work_on(again.job_id) == "done"
    again.refresh_from_db()
    assert (again.first_day, again.days) == (draft.first_day, draft.days)
    kept = again.planned.get(plan=row.plan, locked=True)
    assert (kept.day, kept.half, kept.task_id) == (day, "am", row.task_id)
    assert any("with 1 of its tasks locked" in words for words in again.assumptions)


def test_a_plan_whose_days_are_over_is_not_planned_again(house: Any) -> None:
    draft, odile = make_draft(house), house.people["manager"]
    at = NOW + timedelta(days=30)
    again, _ = ask_again(year_plan=draft, by=odile, at=at)
    assert (again.first_day, again.last_day) == (at.date() + timedelta(days=1), draft.last_day)
    with pytest.raises(CannotPlan, match="at least a week"):
        ask_again(year_plan=draft, by=odile, at=NOW + timedelta(days=95))
    with pytest.raises(CannotPlan, match="not ready yet"):
        ask_again(year_plan=again, by=odile, at=at)


@committed
def test_the_same_wish_gives_the_same_plan(house: Any) -> None:
    told = []
    for _ in range(2):
        plan = ask(house)
        with time_machine.travel(NOW, tick=False):
            assert jobs.work_on(plan.job_id) == "done"
        told.append(sorted(plan.planned.values_list("plan_id", "day", "half")))
    assert told[0] == told[1]
    assert len(told[0]) > 3
    assert len({plan.inputs_sha256 for plan in YearPlan.objects.all()}) == 1


@committed
def test_where_not_all_can_be_on_time_the_plan_says_why_and_what_would_free_it(house: Any) -> None:
    for away in range(60):
        book(house, MONDAY + timedelta(days=away), 8, 18, title="Brass and Bunting")
    plan = ask(house)
    with time_machine.travel(NOW, tick=False):
        jobs.work_on(plan.job_id)
    plan.refresh_from_db()
    why = plan.outcome["contradiction"]
    assert plan.outcome["figures"]["late_days"] > 0
    assert any("Brass and Bunting" in words for words in why["no_days"])
    assert any("a dark half-day on" in gain["words"] for gain in why["gains"])
    shown = page(house, plan).content.decode()
    assert "Why not everything can be on time" in shown
    assert "What would free it" in shown
    late = plan.planned.filter(late_days__gt=0)
    assert late.exists()
    assert all(row.late_days == (row.day - row.last_lawful_on).days for row in late)


def test_a_reason_names_several_alike_without_the_name_of_a_file() -> None:
    told = "Pit lift, monthly (pit_lift_monthly) (2 of them) on time, which needs stage floor clear"
    assert make_asked_plan.BY_SLUG.sub("", told) == (
        "Pit lift, monthly (2 of them) on time, which needs stage floor clear"
    )


def test_a_worker_that_was_killed_leaves_nothing_behind_and_the_next_one_makes_the_plan(
    house: Any,
) -> None:
    plan = ask(house)
    lost = take_up(pk=plan.job_id, at=NOW)
    assert lost
    later = NOW + LEASE
    again = take_up(pk=plan.job_id, at=later)
    assert again
    assert again.attempts == 2
    progress = PlanProgress(2)
    assert make_asked_plan.make_asked_plan(job=again, at=later, progress=progress)
    kept = plan.planned.count()
    assert kept > 3
    assert not make_asked_plan.make_asked_plan(job=lost, at=later, progress=PlanProgress(2))
    assert PlannedTask.objects.count() == kept, "whoever lost the lease keeps nothing"
    assert LogLine.objects.filter(did="make_year_plan").count() == 1


@committed
def test_a_plan_that_fails_each_time_says_so_and_holds_no_task(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jobs, "make_asked_plan", lambda **_: 1 / 0)
    plan = ask(house)
    for _ in range(MOST_ATTEMPTS):
        jobs.work_on(plan.job_id)
    shown = page(house, plan).content.decode()
    assert "Failed" in shown
    assert "each time something went wrong" in shown
    assert not plan.planned.exists()


@committed
def test_a_house_the_planner_refuses_fails_with_its_sentence(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise ValueError("Two plans have the same key.")

    monkeypatch.setattr("inspections.planning.solve.plan_year", refuse)
    plan = ask(house)
    assert jobs.work_on(plan.job_id) == "failed"
    assert "Two plans have the same key." in page(house, plan).content.decode()


def test_the_page_shows_the_best_plan_so_far_and_asks_again(house: Any) -> None:
    plan = ask(house)
    job = take_up(pk=plan.job_id, at=NOW)
    assert job
    checked = make_asked_plan.house_of(house.venue, MONDAY, 91, NOW)
    progress = PlanProgress(2)
    listen = progress.listen_for({key: pk for pk, key in checked.keys.items()})
    assert "late_days" not in progress.told()
    judged = replace(make_asked_plan.evaluate(checked.house, []), cost=24_600)
    listen(Progress((), judged, 0.4, LATE, 0))
    listen(Progress((), judged, 1.4, COST, 12_300))
    assert progress.told()["first_s"] == 0.4
    assert renew(job=job, at=NOW, told=progress.told())
    with time_machine.travel(NOW + timedelta(seconds=5)):
        shown = page(house, plan).content.decode()
    assert '<meta http-equiv="refresh" content="5">' in shown
    assert "no plan is better than 123.00" in shown
    assert "this one is at most 50.0% from that" in shown
    assert "Now searching: 1 of 2 seconds" in shown
    progress.now = EXPLAINING
    assert renew(job=job, at=NOW, told=progress.told())
    with time_machine.travel(NOW + timedelta(seconds=5)):
        shown = page(house, plan).content.decode()
    assert "The search is over." in shown
    assert "of 2 seconds" not in shown, "what it takes now is none of them"


def test_neither_the_pages_nor_the_worker_load_the_solver_before_a_plan_is_searched() -> None:
    text = (
        "import sys, django; django.setup(); import inspections.jobs, inspections.views.year; "
        "import inspections.management.commands.plan_year; print('ortools' in sys.modules)"
    )
    said = subprocess.run(
        [sys.executable, "-c", text], capture_output=True, text=True, check=True,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "config.settings"},
    )  # fmt: skip
    assert said.stdout.strip() == "False"


def test_a_plan_of_another_venue_is_not_found(house: Any) -> None:
    plan = ask(house)
    client = Client()
    client.force_login(house.people["other manager"])
    for slug in (house.venue.slug, house.other.slug):
        for name in ("year_plan", "publish_year_plan", "plan_year_again", "copy_year_plan"):
            where = reverse(name, args=[slug, plan.pk])
            send = client.get if name == "year_plan" else client.post
            assert send(where).status_code == 404, (slug, name)


def test_the_form_asks_and_says_what_is_wrong(house: Any) -> None:
    client = Client()
    client.force_login(house.people["manager"])
    where = reverse("plan_year", args=[house.venue.slug])
    typed = {"first_day": "2026-05-11", "days": "91", "seconds": "5", "seed": "1", "name": "Spring"}
    with time_machine.travel(NOW, tick=False):
        answer = client.post(where, typed)
        plan = YearPlan.objects.get()
        assert answer.url == reverse("year_plan", args=[house.venue.slug, plan.pk])
        assert str(plan) == "Spring: 11 May 2026 to 9 Aug 2026"
        assert client.post(where, typed).url == answer.url
        wrong = client.post(where, typed | {"first_day": "2026-05-04"})
    assert wrong.status_code == 422
    assert "Begin tomorrow or later" in wrong.content.decode()
    assert YearPlan.objects.count() == 1


def test_the_form_offers_no_longer_than_the_calendar_is_known(house: Any) -> None:
    from inspections.forms_year import PlanYearForm

    for known, days in (
        (MONDAY + timedelta(days=400), "364"),
        (MONDAY + timedelta(days=200), "182"),
        (None, "364"),
    ):
        form = PlanYearForm.for_venue(TODAY, known)
        assert form.initial == {"first_day": date(2026, 5, 11), "days": days}
