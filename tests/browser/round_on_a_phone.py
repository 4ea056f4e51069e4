"""What a stagehand does with the round on a phone: take it along, fill a check, save it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tests.browser.test_phone_check import choose, sign_in

SOUND = {
    "dia_1_a": "0.26 in", "dia_1_b": "0.26 in", "instrument": "Caliper", "broken_lay": "0",
    "broken_strand_count": "0", "broken_valley": "0", "broken_end": "0",
}  # fmt: skip


def take_the_round(phone: Any, who: str) -> Any:
    page = phone.new_page()
    sign_in(page, who, "/v/larkspur/round/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    page.get_by_text("This round is on the phone").wait_for()
    return page


def until(page: Any, stands: Callable[[], bool]) -> None:
    """Give the phone ten seconds to send; the browser needs its turns meanwhile."""
    for _ in range(50):
        if stands():
            return
        page.wait_for_timeout(200)
    raise AssertionError("The server did not get it.")


def fill(page: Any, house: Any, **changed: str) -> None:
    key = f"running_rope.{house.rope.pk}"
    page.get_by_text("Question 1 of 2").wait_for()
    for name, value in (SOUND | changed).items():
        page.fill(f'[name="{key}:{name}"]', value)
    choose(page, f"{key}:looked", "yes")
    page.wait_for_timeout(700)
    page.get_by_role("button", name="Next", exact=True).click()
    choose(page, f"rope_identified.{house.rope.pk}:given", "yes")


def look_it_over(page: Any) -> str:
    """The small question asked before the review, answered by its first choice."""
    page.get_by_role("button", name="Look it over", exact=True).click()
    asked = page.locator(".attention h2").inner_text()
    page.locator(".attention .choices button").first.click()
    page.get_by_role("heading", name="Look it over, then save").wait_for()
    return asked


def save(page: Any) -> None:
    look_it_over(page)
    page.get_by_role("button", name="Save this check").click()
    page.get_by_text("Saved on this phone").wait_for()
