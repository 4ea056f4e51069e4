"""In which half of its day a task is planned, and with whom: by hand, and wherever it stands."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inspections.actions.plans import apply_regime
from inspections.actions.shorten_date import shorten_date
from inspections.actions.tasks import change_task
from inspections.models import Task
from inspections.queries.digests import digest_for, waiting_in
from inspections.queries.tasks import round_of, task_rows
from tests.house import make_equipment, make_house
from venue.models import LogLine

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

DAY = date(2026, 5, 4)
LIST = "/v/larkspur/tasks/"


@pytest.fixture(autouse=True)
def one_day() -> Any:
    with time_machine.travel("2026-05-04T12:00:00Z", tick=False):
        yield


@pytest.fixture
def house() -> Any:
    house = make_house()
    house.task = task_of(house, house.winch)
    return house


def task_of(house: Any, equipment: Any) -> Task:
    plan = apply_regime(
        equipment=equipment, regime=house.regime, anchor=date(2026, 5, 9), last_done_on=None,
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    return plan.tasks.order_by("number").first()


def agree(house: Any, task: Task, half: str = "am", day: date = DAY, **more: Any) -> None:
    people = {"person": house.people["competent"], "helpers": [house.people["stagehand"]]} | more
    change_task(
        task=task, planned_on=day, half=half, why="", by=house.people["manager"],
        at=timezone.now(), **people,
    )  # fmt: skip


def page(house: Any, address: str, role: str = "manager") -> str:
    client = Client()
    client.force_login(house.people[role])
    answer = client.get(f"/v/larkspur/{address}")
    assert answer.status_code == 200
    return answer.content.decode()


def member(house: Any, role: str) -> int:
    return house.people[role].memberships.get().pk


def send(house: Any, task: Task, **changed: Any) -> Any:
    """As the form stands, with what is changed in it."""
    here = {row.person_id: row.pk for row in house.venue.memberships.all()}
    task.refresh_from_db()
    stands = {
        "planned_on": task.planned_on.isoformat(),
        "half": task.half,
        "person": here.get(task.person_id, ""),
        "helpers": [here[helper.pk] for helper in task.helpers.all()],
        "why": "",
    }
    client = Client()
    client.force_login(house.people["manager"])
    answer = client.post(f"{LIST}{task.pk}/change/", stands | changed)
    task.refresh_from_db()
    return answer


def names(task: Task) -> list[str]:
    return sorted(helper.name for helper in task.helpers.all())


def test_half_and_helpers_stand_wherever_the_task_stands(house: Any) -> None:
    agree(house, house.task)
    where = [
        f"tasks/{house.task.pk}/", "tasks/?show=30", f"equipment/{house.winch.pk}/",
        f"t/{house.winch.tag}/", "",
    ]  # fmt: skip
    for address in where:
        shown = page(house, address)
        assert "4 May 2026, morning" in shown, address
        assert "Competent, with Stagehand" in shown, address
    assert "planned for Mon 4 May 2026, morning" in page(house, "find/?q=W1")


def test_without_a_half_nothing_is_said_of_one(house: Any) -> None:
    agree(house, house.task, half="", helpers=[])
    for address in (f"tasks/{house.task.pk}/", "tasks/?show=30", ""):
        shown = page(house, address)
        assert "4 May 2026, " not in shown.replace("4 May 2026, in walking", "")
        assert "with Stagehand" not in shown


def test_a_job_of_several_half_days_says_so(house: Any) -> None:
    agree(house, house.task, half="pm")
    Task.objects.filter(pk=house.task.pk).update(half_days=2)
    assert "4 May 2026, afternoon, takes 2 half-days" in page(house, f"tasks/{house.task.pk}/")
    assert "Afternoon, takes 2 half-days" in page(house, "round/", "stagehand")


def test_the_round_of_a_helper_holds_the_work_and_keeps_the_halves_apart(house: Any) -> None:
    others = [task_of(house, make_equipment(house.venue, tag)) for tag in ("W2", "W3", "W4")]
    agree(house, house.task, half="pm")
    agree(house, others[0])
    agree(house, others[1], half="am", day=DAY - timedelta(days=1))
    agree(house, others[2], helpers=[])
    helper = house.people["stagehand"]
    stops = round_of(helper, house.venue, DAY)
    assert [(stop.task.equipment.tag, stop.task.half) for stop in stops] == [
        ("W2", "am"), ("W1", "pm"), ("W3", "am"),
    ]  # fmt: skip
    shown = page(house, "round/", "stagehand")
    heads = [
        shown.index(f"<h2>{words}</h2>") for words in ("Morning", "Afternoon", "Without a half-day")
    ]
    cards = [shown.index(f'data-tag="{tag}"') for tag in ("W2", "W1", "W3")]
    assert sorted([*heads, *cards]) == [
        each for pair in zip(heads, cards, strict=True) for each in pair
    ]
    assert shown.count("Competent, with Stagehand") == 3
    assert round_of(house.people["second"], house.venue, DAY) == []


def test_a_list_has_the_morning_of_a_day_before_its_afternoon(house: Any) -> None:
    other = task_of(house, make_equipment(house.venue, "W2"))
    agree(house, house.task, half="pm")
    agree(house, other)
    for address in ("tasks/?show=30", "tasks/?week=2026-05-04", ""):
        shown = page(house, address)
        assert shown.index("4 May 2026, morning") < shown.index("4 May 2026, afternoon"), address
    read = task_rows(house.venue, DAY, "30", "2026-05-03~~0")
    assert [stop.task.half for stop in read.rows][:2] == ["am", "pm"]


def test_a_round_without_halves_has_no_headings_for_them(house: Any) -> None:
    agree(house, house.task, half="", helpers=[])
    shown = page(house, "round/", "competent")
    assert 'data-tag="W1"' in shown
    assert "Without a half-day" not in shown


def test_the_form_keeps_what_it_is_not_told_to_change(house: Any) -> None:
    agree(house, house.task)
    assert send(house, house.task, planned_on="2026-05-06").status_code == 302
    assert (house.task.planned_on, house.task.half) == (date(2026, 5, 6), "am")
    assert (house.task.person, names(house.task)) == (house.people["competent"], ["Stagehand"])
    shown = page(house, f"tasks/{house.task.pk}/")
    assert '<option value="am" selected>Morning</option>' in shown
    ticked = f'value="{member(house, "stagehand")}"'
    assert any("checked" in tag for tag in shown.split("<input") if ticked in tag)


def test_the_half_is_changed_or_cleared_and_logged(house: Any) -> None:
    agree(house, house.task)
    send(house, house.task, half="pm")
    assert house.task.half == "pm"
    send(house, house.task, half="")
    assert (house.task.half, names(house.task)) == ("", ["Stagehand"])
    assert send(house, house.task, half="noon").status_code == 422
    lines = LogLine.objects.filter(did="plan_task").order_by("number")
    told = [json.loads(line.body) for line in lines]
    assert [(each["before"]["half"], each["after"]["half"]) for each in told] == [
        ("", "am"), ("am", "pm"), ("pm", ""),
    ]  # fmt: skip


def test_helpers_are_changed_by_hand_and_told_by_reference(house: Any) -> None:
    agree(house, house.task)
    both = [member(house, "second"), member(house, "examiner")]
    send(house, house.task, helpers=both)
    assert names(house.task) == ["Examiner", "Second"]
    line = LogLine.objects.filter(did="plan_task").latest("number")
    body = json.loads(line.body)
    assert [len(body[side]["helpers"]) for side in ("before", "after")] == [1, 2]
    assert not any(name in line.body for name in ("Stagehand", "Examiner", "Second"))
    assert send(house, house.task, helpers=[99999]).status_code == 422
    assert names(house.task) == ["Examiner", "Second"]


def test_whoever_is_given_the_task_does_not_also_help(house: Any) -> None:
    agree(house, house.task)
    send(house, house.task, person=member(house, "stagehand"))
    assert (house.task.person, names(house.task)) == (house.people["stagehand"], [])


def test_a_day_taken_back_by_an_examiners_date_takes_its_half_along(house: Any) -> None:
    agree(house, house.task, day=house.task.last_lawful_on)
    shorten_date(
        plan=house.task.plan, no_later_than=DAY + timedelta(days=2), why="A broken wire.",
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    house.task.refresh_from_db()
    assert (house.task.day_agreed, house.task.half) == (False, "")
    body = json.loads(LogLine.objects.get(did="shorten_date").body)
    assert (body["before"]["half"], body["after"]["half"]) == ("am", "")


def test_the_database_refuses_a_half_of_a_day_that_nobody_agreed(house: Any) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Task.objects.filter(pk=house.task.pk).update(half="am", day_agreed=False)


def test_the_message_of_a_helper_names_the_work_its_half_and_whom_they_help(house: Any) -> None:
    agree(house, house.task)
    waiting = waiting_in(house.venue, DAY, for_manager=False)

    def told(role: str) -> list[str]:
        digest = digest_for(house.venue, house.people[role], role, "daily", waiting)
        return [line.more for section in digest.sections for line in section.lines]

    (helped,), (led,) = told("stagehand"), told("competent")
    assert helped.startswith("today, morning; lawful until ")
    assert helped.endswith("; you help Competent")
    assert led.endswith("; with Stagehand")
    assert told("examiner") == []
    (week,) = (
        digest_for(house.venue, house.people["manager"], "manager", "weekly", waiting)
        .sections[1]
        .lines
    )
    assert week.more.endswith("; Competent; with Stagehand")


def test_lists_cost_the_same_queries_for_three_tasks_and_for_nine(house: Any) -> None:
    cost: dict[str, set[int]] = {}
    page(house, "", "competent")  # a first visit has nothing to be compared with
    people = [house.people[role] for role in ("stagehand", "second", "examiner")]
    agree(house, house.task, helpers=people[:1])
    for round_number in range(2):
        for number in range(3 + 3 * round_number):
            task = task_of(house, make_equipment(house.venue, f"X{round_number}{number}"))
            agree(house, task, helpers=people[: number % 4])
        for address in (
            "",
            "round/",
            "tasks/?show=30",
            "find/?q=winch",
            "tasks/?week=2026-05-04",
        ):
            with CaptureQueriesContext(connection) as queries:
                page(house, address, "competent")
            cost.setdefault(address, set()).add(len(queries))
    assert all(len(each) == 1 for each in cost.values()), cost
