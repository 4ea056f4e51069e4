"""The search box in a real browser: it answers as one types and is walked with the keyboard alone."""

from __future__ import annotations

from typing import Any

import pytest

from tests.browser.test_phone_check import sign_in
from tests.house import make_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
OLD = "document.querySelectorAll('#found *').forEach((each) => { each.dataset.old = ''; })"


def types(page: Any, box: Any, key: str) -> None:
    """One key more, till the list is the one that answers it."""
    page.evaluate(OLD)
    box.press(key)
    page.locator("#found [role=option]:not([data-old])").first.wait_for()


def test_the_box_answers_as_one_types_and_the_keyboard_leads_to_the_thing(
    page: Any, live_server: Any
) -> None:
    house = make_house()
    page.set_viewport_size({"width": 1280, "height": 800})
    sign_in(page, "manager", "/v/larkspur/findings/")
    box = page.get_by_role("combobox", name="Find anything")
    assert box.get_attribute("aria-expanded") == "false"
    for key in "w1":
        types(page, box, key)
    assert box.get_attribute("aria-expanded") == "true"
    assert page.get_by_role("group", name="Equipment").get_by_role("option").count() == 1
    box.press("ArrowDown")
    chosen = page.locator(f"#{box.get_attribute('aria-activedescendant')}")
    assert chosen.get_attribute("aria-selected") == "true"
    assert "W1" in chosen.inner_text()
    box.press("Escape")
    assert (box.get_attribute("aria-expanded"), box.input_value()) == ("false", "w1")
    box.fill("out of service w1")
    page.get_by_role("option", name="Take out of service: W1").wait_for()
    box.press("ArrowDown")
    box.press("Enter")
    page.wait_for_url(f"**/equipment/{house.winch.pk}/out/")
    page.goto("/v/larkspur/tasks/")
    box.fill("nothing at all")
    page.get_by_text("Nothing found").wait_for(state="attached")
    box.press("Enter")
    page.wait_for_url("**/find/?q=nothing+at+all")
