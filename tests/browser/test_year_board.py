"""The year board under keys and pointer: a task is moved, and what that does is said before."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from django.utils import timezone

from inspections.actions.planning_settings import set_planning
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.board_grid import monday_of
from inspections.models import PlannedTask
from tests.browser.test_phone_check import sign_in
from tests.house import NOW, TODAY
from tests.inspections.planned_house import a_task, make_planned_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1440, "height": 900}
TARGET = "[data-board] td.is-target"


@pytest.fixture
def house(live_server: Any) -> Iterator[Any]:
    """The first task of W2 lies in the middle of a month: the load-in leaves it no other week."""
    with time_machine.travel(NOW):
        house = make_planned_house(first=monday_of(TODAY) + timedelta(days=14))
        house.task = a_task(house.year_plan, "W2")
        assert house.task.day.month == house.task.last_lawful_on.month
        assert 2 < house.task.day.day < 29
        yield house


def board(tab: Callable[..., Any], house: Any, script: bool = True, zoom: str = "week") -> Any:
    page = tab(DESK, script=script)
    here = f"/v/larkspur/year/{house.year_plan.pk}/board/?zoom={zoom}&day={house.task.day}"
    sign_in(page, "manager", here)
    page.wait_for_load_state("load")
    return page


def mark(house: Any) -> str:
    return f"[data-tasks='{house.task.pk}']"


def stands(house: Any) -> tuple[date, str]:
    task = PlannedTask.objects.get(pk=house.task.pk)
    return task.day, task.half


def words(page: Any) -> str:
    return page.inner_text("[data-board-panel]")


def cell_of(page: Any, house: Any) -> Any:
    return page.locator("[data-board] tbody td").filter(has=page.locator(mark(house)))


def test_with_the_keys_a_task_is_lifted_aimed_and_dropped(
    tab: Callable[..., Any], house: Any
) -> None:
    page = board(tab, house)
    cell_of(page, house).focus()
    assert "W2 Running ropes of a winch, monthly" in words(page)
    page.keyboard.press("m")
    assert "It is there now" in words(page)
    page.keyboard.press("ArrowUp" if house.task.half == "pm" else "ArrowDown")
    page.wait_for_selector("[data-board-panel] ul li")
    assert "Nothing more would be late." in words(page)
    assert stands(house) == (house.task.day, house.task.half)
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert stands(house) == (house.task.day, "am" if house.task.half == "pm" else "pm")
    assert "now " in page.inner_text(".notices")
    assert page.evaluate(
        "document.activeElement.matches('td') && !!document.activeElement.querySelector"
        f'("{mark(house)}")'
    ), "the keys stand on the task where it is now"
    with page.expect_navigation():
        page.get_by_role("button", name="Undo: W2").click()
    assert stands(house) == (house.task.day, house.task.half)


def test_what_would_be_late_is_said_and_moved_only_when_confirmed(
    tab: Callable[..., Any], house: Any
) -> None:
    page = board(tab, house, zoom="month")
    cell_of(page, house).focus()
    page.keyboard.press("m")
    for _ in range((house.task.last_lawful_on - house.task.day).days + 1):
        page.keyboard.press("ArrowRight")
    page.wait_for_selector("[data-board-panel] ul")
    told = words(page)
    assert "late" in told or "Missing for it" in told
    page.keyboard.press("Escape")
    assert page.locator(TARGET).count() == 0
    assert page.locator(".is-left").count() == 0
    assert stands(house) == (house.task.day, house.task.half)


def test_with_the_pointer_a_mark_is_dragged_to_another_half_day(
    tab: Callable[..., Any], house: Any
) -> None:
    page = board(tab, house)
    here = cell_of(page, house)
    other = "am" if house.task.half == "pm" else "pm"
    column = here.evaluate("cell => [...cell.parentElement.querySelectorAll('td')].indexOf(cell)")
    row = here.locator("xpath=ancestor::tbody")
    there = row.locator(f"tr[data-half={other}] td").nth(column)
    page.locator(mark(house)).scroll_into_view_if_needed()
    start, end = page.locator(mark(house)).bounding_box(), there.bounding_box()
    page.mouse.move(start["x"] + 10, start["y"] + 10)
    page.mouse.down()
    page.mouse.move(start["x"] + 14, start["y"] + 18)
    page.mouse.move(end["x"] + end["width"] / 2, end["y"] + end["height"] / 2, steps=4)
    page.wait_for_selector("[data-board-panel] ul")
    assert stands(house) == (house.task.day, house.task.half), "nothing moves before it is dropped"
    with page.expect_navigation():
        page.mouse.up()
    assert stands(house) == (house.task.day, other)


def test_a_short_press_on_a_mark_is_a_link_to_its_reasons(
    tab: Callable[..., Any], house: Any
) -> None:
    page = board(tab, house)
    page.locator(mark(house)).click()
    page.wait_for_url(f"**/year/tasks/{house.task.pk}/")
    assert "Why here?" in page.inner_text("main")


def test_arrow_keys_walk_the_cells_and_only_one_cell_is_in_the_tab_order(
    tab: Callable[..., Any], house: Any
) -> None:
    page = board(tab, house, zoom="month")
    cell_of(page, house).focus()
    seen = set()
    for key in ("ArrowRight", "ArrowUp", "ArrowLeft", "Home", "End"):
        page.keyboard.press(key)
        seen.add(words(page))
        assert page.locator("[data-board] td[tabindex='0']").count() == 1
    assert len(seen) == 5
    assert page.locator("[data-board] tbody a:not([tabindex='-1'])").count() == 0


def test_without_a_script_the_list_moves_the_task(tab: Callable[..., Any], house: Any) -> None:
    page = board(tab, house, script=False)
    other = "am" if house.task.half == "pm" else "pm"
    page.select_option(f"#half-{house.task.pk}", other)
    with page.expect_navigation():
        page.locator(f"#task-{house.task.pk} form.board-move button").click()
    assert stands(house) == (house.task.day, other)
    assert "/board/" in page.url


def test_a_task_of_the_published_plan_is_locked_and_unlocked_with_the_keys(
    tab: Callable[..., Any], house: Any
) -> None:
    publish_year_plan(
        year_plan=house.year_plan, by=house.people["manager"], at=timezone.now(), although="Tests."
    )
    page = board(tab, house)
    for locked in (True, False):
        cell_of(page, house).focus()
        assert page.get_by_role("button", name="Lock" if locked else "Unlock").count() > 0
        with page.expect_navigation():
            page.keyboard.press("l")
        assert PlannedTask.objects.get(pk=house.task.pk).locked == locked
        assert page.evaluate(
            "document.activeElement.matches('td') && !!document.activeElement.querySelector"
            f'("{mark(house)}")'
        ), "the keys stand on the task"
        assert (", locked" in words(page)) == locked
    page.keyboard.press("m")
    assert "A published plan is not moved" in words(page)


def test_what_would_exceed_a_budget_is_dropped_only_when_confirmed(
    tab: Callable[..., Any], house: Any
) -> None:
    """W1 and W3 stand in one cell and share the machines locked off; apart that is paid twice."""
    house.task = a_task(house.year_plan, "W1")
    set_planning(
        venue=house.venue,
        fields={"year_budget": Decimal(0)},
        by=house.people["manager"],
        at=timezone.now(),
    )
    page, other = board(tab, house), "am" if house.task.half == "pm" else "pm"
    cell_of(page, house).focus()
    page.keyboard.press("m")
    page.keyboard.press("Enter")  # on the first of both
    assert "W1" in words(page)
    assert "It is there now" in words(page)
    page.keyboard.press("ArrowUp" if other == "am" else "ArrowDown")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Move it there all the same").wait_for()
    assert "would be exceeded by" in words(page)
    assert stands(house) == (house.task.day, house.task.half)
    with page.expect_navigation():
        page.get_by_role("button", name="Move it there all the same").click()
    assert stands(house) == (house.task.day, other)
