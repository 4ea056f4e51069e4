"""Why a planned task is where it is, what another half-day would do, and moving it there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from inspections.actions.lock_planned import set_locked
from inspections.actions.plans import end_plan
from inspections.models import PlannedTask
from tests.house import NOW
from tests.inspections.planned_house import a_task, make_planned_house

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> Iterator[Any]:
    with time_machine.travel(NOW, tick=False):
        house = make_planned_house()
        house.task = a_task(house.year_plan)
        house.client = Client()
        house.client.force_login(house.people["manager"])
        yield house


def where(name: str, task: PlannedTask) -> str:
    return reverse(name, args=["larkspur", task.pk])


def words(response: HttpResponse) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def checked(house: Any, days: int, half: str = "pm") -> dict[str, Any]:
    """What the board's script is told of a move by so many days."""
    to = {"day": str(house.task.day + timedelta(days=days)), "half": half}
    return house.client.get(where("check_planned_move", house.task), to).json()


def moved(house: Any, days: int, half: str = "pm", **more: str) -> HttpResponse:
    to = {"day": str(house.task.day + timedelta(days=days)), "half": half, **more}
    return house.client.post(where("move_planned", house.task), to)


def stands(house: Any) -> tuple[Any, str]:
    task = PlannedTask.objects.get(pk=house.task.pk)
    return task.day, task.half


def test_the_page_says_window_due_day_and_days_to_spare(house: Any) -> None:
    said = words(house.client.get(where("planned_task", house.task)))
    assert "Last lawful day 22 June 2026 0 days to spare" in said
    assert "The house then Nothing booked" in said
    assert "Its window" in said


def test_the_page_names_what_shares_the_day(house: Any) -> None:
    said = words(house.client.get(where("planned_task", house.task)))
    assert "Machine locked off (Stage) , shared with 1 other: W3: Running ropes" in said


def test_the_page_tells_in_words_and_figures_what_another_week_would_change(house: Any) -> None:
    said = words(house.client.get(where("planned_task", house.task)))
    assert "A week earlier" in said
    later = said[said.index("A week later") :]
    assert "W1: Running ropes of a winch, monthly would be late, by" in later
    assert "It would cost" in later


def test_a_free_half_day_within_the_window_makes_nothing_late(house: Any) -> None:
    told = checked(house, 0, "am")
    assert (told["refused"], told["worse"]) == (False, False)
    assert "Nothing more would be late." in told["words"]


def test_a_later_day_is_said_to_be_late_before_anything_is_moved(house: Any) -> None:
    told = checked(house, 2)
    assert (told["refused"], told["worse"]) == (False, True)
    assert any("would be late, by 2 days" in said for said in told["words"])
    assert stands(house) == (house.task.day, "pm")


def test_a_half_day_that_is_held_is_refused_with_what_holds_it(house: Any) -> None:
    told = checked(house, (house.load_in.starts.date() - house.task.day).days)
    assert told["refused"]
    assert "Brass and Bunting" in told["words"][0]
    assert "Missing for it:" in told["words"][0]


@pytest.mark.parametrize("asked", [{}, {"day": "soon"}, {"day": "2026-06-31"}, {"half": "am"}])
def test_half_a_question_is_answered_in_words(house: Any, asked: dict[str, str]) -> None:
    told = house.client.get(where("check_planned_move", house.task), asked).json()
    assert told == {
        "words": ["Give a day and a half of it."], "worse": True, "late": False, "over": False,
        "refused": True,
    }  # fmt: skip


def test_a_day_outside_the_plan_is_refused(house: Any) -> None:
    assert checked(house, 400)["words"] == ["That half-day is outside the plan."]


def test_what_the_check_allows_the_move_does_and_what_it_refuses_the_move_refuses(
    house: Any,
) -> None:
    """Both judge alike, over a fortnight of half-days."""
    first, seen = house.task.day, []
    for days in range(-14, 3):
        told = checked(house, days, "am")
        response = moved(house, days, "am")
        assert (response.status_code == 302) == (not told["worse"] and not told["refused"])
        seen.append(response.status_code)
        if response.status_code == 302:
            undo = reverse("undo_planned_move", args=["larkspur", house.year_plan.pk])
            house.client.post(undo)
            assert stands(house) == (first, "pm")
    assert set(seen) == {302, 422}


def test_a_late_move_is_done_only_when_it_is_meant(house: Any) -> None:
    refusal = moved(house, 2)
    assert refusal.status_code == 422
    assert "would be 2 days later than is lawful" in words(refusal)
    assert "Move it there and be late" in words(refusal)
    assert moved(house, 2, late_is_meant="yes").status_code == 302
    assert stands(house)[0] == house.task.day + timedelta(days=2)


def test_a_locked_task_says_so_and_stays(house: Any) -> None:
    set_locked(planned=house.task, locked=True, by=house.people["manager"], at=NOW)
    assert checked(house, 0, "am")["words"] == ["It is locked here. Unlock it first."]
    assert moved(house, 0, "am").status_code == 422


def test_after_the_move_one_is_back_on_the_board_and_never_elsewhere(house: Any) -> None:
    board = reverse("year_board", args=["larkspur", house.year_plan.pk])
    assert moved(house, 0, "am", back=f"{board}?zoom=week").url == f"{board}?zoom=week"
    for back in ("//evil.example/", "https://evil.example/", "javascript:alert(1)", ""):
        assert moved(house, 0, "pm", back=back).url == where("planned_task", house.task)


def test_the_task_of_a_plan_that_has_ended_says_that_nothing_can_be_said(house: Any) -> None:
    end_plan(plan=house.task.plan, why="Sold.", by=house.people["manager"], at=NOW)
    assert "The plan of this check has ended since" in words(
        house.client.get(where("planned_task", house.task))
    )
    assert checked(house, 0, "am")["refused"]


def test_an_auditor_may_read_and_ask_but_not_move(house: Any) -> None:
    house.client.force_login(house.people["auditor"])
    assert "Move it" not in words(house.client.get(where("planned_task", house.task)))
    assert checked(house, 0, "am")["refused"] is False
    assert moved(house, 0, "am").status_code == 403
