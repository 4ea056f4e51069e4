"""A small question that varies stands before the review and cannot be passed by."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inspections.attention import attention_items
from inspections.models import Record
from tests.browser.hands import walk_on
from tests.browser.round_on_a_phone import fill, look_it_over, take_the_round, until, until_kept
from tests.browser.test_phone_check import no_wider_than_the_screen

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def begin(phone: Any, house: Any) -> Any:
    page = take_the_round(phone, "competent")
    phone.set_offline(True)
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    fill(page, house)
    return page


def test_it_is_asked_alone_the_same_one_again_and_its_answer_goes_with_the_check(
    house: Any, phone: Any
) -> None:
    page = begin(phone, house)
    walk_on(page, "Look it over")
    first = page.locator(".attention h2").inner_text()
    assert page.get_by_role("button", name="Save this check").count() == 0
    assert no_wider_than_the_screen(page)
    page.get_by_role("button", name="Back to the questions").click()
    until_kept(page)
    page.reload()
    walk_on(page, "Next")
    assert look_it_over(page) == first
    page.get_by_role("button", name="Save this check").click()
    page.get_by_text("Saved on this phone").wait_for()
    phone.set_offline(False)
    page.get_by_role("link", name="Back to my round").click()
    until(page, Record.objects.exists)
    kept = json.loads(Record.objects.get().body)["phone"]["attention"]
    item = next(item for item in attention_items() if item["slug"] == kept["slug"])
    assert (kept["question"], kept["answer"]) == (first, item["choices"][0])
    page.goto(f"/v/larkspur/records/{Record.objects.get().pk}/")
    assert f"Asked beside: {first} {item['choices'][0]}." in page.locator("main").inner_text()


def test_every_small_question_is_drawn_for_some_check(house: Any, phone: Any) -> None:
    page = take_the_round(phone, "competent")
    drawn = page.evaluate(
        """async (items) => {
            const { drawn } = await import("/static/js/phone/attention.js");
            const { newId } = await import("/static/js/phone/store.js");
            return Array.from({ length: 600 }, () => drawn(items, newId()).slug);
        }""",
        list(attention_items()),
    )
    assert set(drawn) == {item["slug"] for item in attention_items()}
