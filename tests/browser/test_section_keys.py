"""The drawing of the house is gone through by arrow keys, and passed by one Tab."""

from __future__ import annotations

from typing import Any

import pytest

from tests.browser.test_keyboard import FOCUSED, V, at_the_desk
from tests.house import make_equipment
from venue.models import Place

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
STOPS = "() => [...document.querySelectorAll('.section-desk a')].map((each) => each.getAttribute('tabindex'))"


def test_arrow_keys_go_through_the_drawing_and_tab_goes_past_it(house: Any, tab: Any) -> None:
    stage = house.winch.place
    Place.objects.filter(pk=stage.pk).update(level=1)
    make_equipment(house.venue, "W2")
    Place.objects.create(venue=house.venue, slug="grid", name="Gridiron", level=4)
    manager = at_the_desk(tab, "manager", f"{V}section/")
    manager.page.locator(".section-desk a[tabindex]").first.wait_for(state="attached")
    assert manager.page.evaluate(STOPS) == ["0", "-1", "-1", "-1"]
    section(manager, "Gridiron")
    assert pressed(manager, "ArrowDown") == "Stage: 2 pieces"
    assert pressed(manager, "ArrowRight") == "W1"
    assert pressed(manager, "ArrowRight") == "W2"
    assert pressed(manager, "ArrowRight") == "W2"  # the last
    assert pressed(manager, "Home") == "Gridiron: nothing stands here"
    assert pressed(manager, "ArrowUp") == "Gridiron: nothing stands here"  # nothing is higher
    assert pressed(manager, "End") == "W2"
    assert pressed(manager, "ArrowLeft") == "W1"
    assert pressed(manager, "ArrowUp") == "Gridiron: nothing stands here"
    assert manager.page.evaluate(STOPS) == ["0", "-1", "-1", "-1"]
    manager.page.keyboard.press("Tab")
    assert manager.page.evaluate("document.activeElement.closest('svg')") is None
    manager.page.keyboard.press("Shift+Tab")
    assert pressed(manager, "End") == "W2"
    manager.page.keyboard.press("Enter")
    manager.page.wait_for_url("**/equipment/*/")


def section(manager: Any, words: str) -> None:
    """Tab until the drawing is come to; its ring is drawn around the mark."""
    for _ in range(60):
        manager.page.keyboard.press("Tab")
        if manager.page.evaluate(FOCUSED)["said"].startswith(words):
            return
    raise AssertionError("The drawing is not reached by Tab")


def pressed(manager: Any, key: str) -> str:
    manager.page.keyboard.press(key)
    ring = "getComputedStyle(document.activeElement.querySelector('.hit')).strokeWidth"
    assert manager.page.evaluate(ring) == "4px"
    return str(manager.page.evaluate(FOCUSED)["said"]).split(",")[0]
