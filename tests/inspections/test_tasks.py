"""Plans turn into dated tasks; twice changes nothing; doing one moves the next."""

from __future__ import annotations

from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import IntegrityError, transaction
from django.test import Client
from django.utils import timezone

from inspections.actions.fill_check import keep_answer, start_task_check
from inspections.actions.generate_tasks import generate_tasks
from inspections.actions.plans import apply_regime
from inspections.actions.submit_check import submit_check
from inspections.actions.tasks import NeedsReason, cancel_task, change_task
from inspections.models import Plan, Task
from inspections.queries.digests import waiting_in
from inspections.queries.state import state_of
from inspections.queries.tasks import tasks_soon, why_open_after, with_standing
from inspections.regime_files import regimes
from inspections.task_dates import PlanDates, task_dates
from tests.guards import unguarded
from tests.house import NOW, TODAY, make_house
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house():
    return make_house()


def apply(house, last_done_on: date):
    return apply_regime(
        equipment=house.winch,
        regime=house.regime,
        anchor=last_done_on,
        last_done_on=last_done_on,
        by=house.people["manager"],
        at=NOW,
    )


def test_a_monthly_plan_makes_the_tasks_of_fifteen_months(house):
    plan = apply(house, date(2026, 4, 30))
    due = list(plan.tasks.order_by("number").values_list("due_on", flat=True))
    assert due[:3] == [date(2026, 5, 30), date(2026, 6, 30), date(2026, 7, 30)]
    assert due[-1] == date(2027, 7, 30)
    assert len(due) == 15


def test_generating_twice_changes_nothing_not_even_the_log(house):
    apply(house, date(2026, 4, 30))
    before = (Task.objects.count(), LogLine.objects.count())
    assert generate_tasks(venue=house.venue, by=None, at=NOW) == 0
    assert (Task.objects.count(), LogLine.objects.count()) == before


def test_the_database_refuses_a_second_task_of_the_same_number(house):
    task = apply(house, date(2026, 4, 30)).tasks.first()
    task.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        task.save(force_insert=True)


def test_a_task_past_its_last_lawful_day_shows_the_equipment_late(house):
    apply(house, TODAY - timedelta(days=200))
    assert state_of(house.winch, TODAY).state == "late"


def test_month_ends_are_counted_from_the_day_and_not_from_the_month_before():
    plan = PlanDates("P1M", "from_last_done", date(2026, 1, 31), date(2026, 1, 31), 0, "P0D", "P0D")
    due = [dated.due_on for dated in task_dates(plan, date(2026, 2, 1))]
    assert due[:3] == [date(2026, 2, 28), date(2026, 3, 31), date(2026, 4, 30)]


def test_an_examiners_shorter_date_rules_the_next_task_only():
    plan = PlanDates(
        "P1Y",
        "from_last_done",
        date(2026, 1, 1),
        date(2026, 1, 1),
        0,
        "P0D",
        "P0D",
        date(2026, 6, 1),
    )
    first, *_ = task_dates(plan, date(2026, 1, 2))
    assert (first.due_on, first.last_lawful_on) == (date(2026, 6, 1), date(2026, 6, 1))


def test_beyond_the_last_lawful_day_a_reason_is_needed(house):
    task = apply(house, date(2026, 4, 30)).tasks.first()
    late = task.last_lawful_on + timedelta(days=3)
    manager = house.people["manager"]
    with pytest.raises(NeedsReason, match="Say why"):
        change_task(task=task, planned_on=late, person=None, why=" ", by=manager, at=NOW)
    change_task(task=task, planned_on=late, person=None, why="Stage held", by=manager, at=NOW)
    task.refresh_from_db()
    assert task.deferred_why == "Stage held"


def test_a_day_beyond_the_last_lawful_one_is_called_too_late_before_it_is_late(house):
    task = apply(house, timezone.now().date()).tasks.first()
    manager, client = house.people["manager"], Client()
    client.force_login(manager)
    pages = [f"equipment/{house.winch.pk}/", f"t/{house.winch.tag}/", f"tasks/{task.pk}/"]

    def said() -> list[bool]:
        return ["Planned too late" in client.get(f"/v/larkspur/{page}").text for page in pages]

    assert said() == [False] * 3
    late = task.last_lawful_on + timedelta(days=3)
    change_task(task=task, planned_on=late, person=None, why="Stage held", by=manager, at=NOW)
    assert said() == [True] * 3


def test_what_will_be_late_as_agreed_is_soon_by_its_last_lawful_day(house):
    """An examiner's earlier date, or a day put off: the planned day lies far behind the lawful one."""
    day = timezone.now().date()
    task = apply(house, day).tasks.first()
    task.last_lawful_on = day + timedelta(days=10)
    Task.objects.filter(pk=task.pk).update(
        last_lawful_on=task.last_lawful_on, planned_on=day + timedelta(days=90), day_agreed=True
    )
    Task.objects.exclude(pk=task.pk).update(state="cancelled")
    (stop,) = with_standing(tasks_soon(house.venue, day), day)
    assert (stop.task.pk, stop.standing, stop.mark) == (task.pk, "planned too late", "due")
    assert stop.words == (
        f"Planned for {day + timedelta(days=90):%-d %b %Y}, after its last lawful day, "
        f"{task.last_lawful_on:%-d %b %Y}"
    )
    (fact,) = waiting_in(house.venue, day, for_manager=False).tasks
    assert fact.last_lawful_on == task.last_lawful_on
    client = Client()
    client.force_login(house.people["manager"])
    assert "Planned too late" in client.get("/v/larkspur/tasks/?show=14").text
    assert "after its last lawful day" in client.get("/v/larkspur/").text


def test_a_cancelled_task_keeps_its_reason(house):
    task = apply(house, date(2026, 4, 30)).tasks.first()
    with pytest.raises(NeedsReason):
        cancel_task(task=task, why="", by=house.people["manager"], at=NOW)
    cancel_task(task=task, why="Winch out of the house", by=house.people["manager"], at=NOW)
    task.refresh_from_db()
    assert (task.state, task.closed_why) == ("cancelled", "Winch out of the house")


def test_every_regime_gives_dates():
    seen = 0
    for regime in regimes().values():
        if regime.interval:
            plan = PlanDates(
                regime.interval,
                regime.counting,
                TODAY,
                TODAY,
                0,
                regime.lawful_slack,
                regime.planned_before,
            )
            first = task_dates(plan, TODAY)[0]
            assert first.planned_on <= first.last_lawful_on
            seen += 1
    assert seen >= 60


def test_the_command_makes_the_tasks_of_every_venue_once(house):
    out = StringIO()
    with unguarded():
        apply(house, date(2026, 4, 30)).tasks.all().delete()
    call_command("generate_tasks", stdout=out)
    call_command("generate_tasks", stdout=out)
    lines = out.getvalue().splitlines()
    assert lines[0].startswith("larkspur: ")
    assert lines[0] != "larkspur: 0 new tasks"
    assert lines[2:] == ["larkspur: 0 new tasks", "tern-studio: 0 new tasks"]


@pytest.mark.parametrize(
    ("days_early", "state"), [(8, "open"), (7, "done"), (0, "done"), (200, "open")]
)
def test_a_check_long_before_its_fixed_day_is_kept_and_is_not_the_check_of_that_day(
    house, days_early, state
):
    today = timezone.now().date()
    plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=today + timedelta(days=days_early),
        last_done_on=None, by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    with unguarded():
        plan.tasks.all().delete()
    Plan.objects.filter(pk=plan.pk).update(counting="anchored", early="P7D")
    plan.refresh_from_db()
    generate_tasks(venue=house.venue, by=None, at=timezone.now())
    task = plan.tasks.order_by("number").first()
    draft = start_task_check(task=task, by=house.people["competent"], at=timezone.now())
    keep_answer(
        draft=draft, key=f"running_rope.{house.rope.pk}", at=timezone.now(),
        typed={
            "dia_1_a": "0.26 in", "dia_1_b": "0.26 in", "looked": "yes", "broken_lay": "0",
            "broken_valley": "0", "broken_end": "0",
        },
    )  # fmt: skip
    identified = f"rope_identified.{house.rope.pk}"
    keep_answer(draft=draft, key=identified, typed={"given": "yes"}, at=timezone.now())
    record = submit_check(draft=draft, by=house.people["competent"], at=timezone.now())
    task.refresh_from_db()
    assert (record.state, task.state) == ("fit", state)
    assert bool(why_open_after(record)) == (state == "open")
