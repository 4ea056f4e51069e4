"""What a stagehand does with the round on a phone: take it along, fill a check, save it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tests.browser.hands import walk_on
from tests.browser.test_phone_check import choose, sign_in

SOUND = {
    "dia_1_a": "0.26 in", "dia_1_b": "0.26 in", "instrument": "Caliper", "broken_lay": "0",
    "broken_strand_count": "0", "broken_valley": "0", "broken_end": "0",
}  # fmt: skip
# Counts how often the page tells what waits; the quarter of a minute, after which it would tell again by
# itself, never comes.
TELLINGS = """
globalThis.tellings = 0;
globalThis.setInterval = () => 0;
document.addEventListener("outbox-told", () => { globalThis.tellings += 1; });
"""
# More turns of the store than any telling takes.
TURNS = """async () => {
    const store = await import("/static/js/phone/store.js");
    for (let turn = 0; turn < 200; turn += 1) await store.read("facts", "nothing");
}"""


def all_is_told(page: Any) -> None:
    """Of a page with TELLINGS: the round is taken along, and all that it tells by itself is told."""
    page.get_by_text("This round is on the phone").wait_for()
    page.wait_for_function("() => globalThis.tellings >= 2")
    page.evaluate(TURNS)


def take_the_round(phone: Any, who: str) -> Any:
    page = phone.new_page()
    sign_in(page, who, "/v/larkspur/round/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    page.get_by_text("This round is on the phone").wait_for()
    return page


def until(page: Any, stands: Callable[[], bool]) -> None:
    """Give the phone a minute and a half to send; the browser needs its turns meanwhile."""
    for _ in range(450):
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
    walk_on(page, "Next")
    choose(page, f"rope_identified.{house.rope.pk}:given", "yes")


def until_kept(page: Any) -> None:
    """Wait till everything that was answered is on the disk. The words alone prove it not: they stand
    there since the answer before, and a quick write changes none."""
    page.locator("form[data-kept]:not([data-keeping])").wait_for(state="attached")
    page.get_by_text("Kept on this phone").first.wait_for(state="attached")


def look_it_over(page: Any) -> str:
    """The small question asked before the review, answered by its first choice."""
    walk_on(page, "Look it over")
    asked = page.locator(".attention h2").inner_text()
    page.locator(".attention .choices button").first.click()
    page.get_by_role("heading", name="Look it over, then save").wait_for()
    return asked


def save(page: Any) -> None:
    look_it_over(page)
    page.get_by_role("button", name="Save this check").click()
    page.get_by_text("Saved on this phone").wait_for()
