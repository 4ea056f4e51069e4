"""A check on a phone, with script and without; the return to service at a desk."""

from __future__ import annotations

import io
from datetime import date
from typing import Any

import pytest
from django.utils import timezone
from PIL import Image

from inspections.actions.open_finding import take_out_of_service
from inspections.actions.plans import apply_regime
from inspections.models import Order, Record, ReturnToService
from inspections.queries.state import state_of
from tests.browser.hands import DESK, PHONE, signed_in_at, walk_on
from tests.house import PASSWORD, make_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

BAD_ROPE = {
    "dia_1_a": "0.2475 in", "dia_1_b": "0.2475 in", "instrument": "Caliper",
    "broken_strand_count": "2", "broken_valley": "0", "broken_end": "0",
}  # fmt: skip


@pytest.fixture
def house(live_server: Any) -> Any:
    house, now = make_house(), timezone.now()
    apply_regime(
        equipment=house.winch, regime=house.regime, anchor=now.date(), last_done_on=None,
        by=house.people["manager"], at=now,
    )  # fmt: skip
    return house


def sign_in(page: Any, who: str, wanted: str) -> None:
    """Ask for a page, be sent to the form, come back to the page."""
    page.goto(wanted)
    assert "/account/login/" in page.url
    page.fill("input[name=login]", f"{who}@larkspur.example")
    page.fill("input[name=password]", PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    signed_in_at(page, wanted)


def choose(page: Any, name: str, value: str) -> None:
    """Tap the words beside the dot, as a thumb does."""
    page.locator(f'label:has(input[name="{name}"][value="{value}"])').click()


def type_rope(page: Any, key: str) -> None:
    for name, value in BAD_ROPE.items():
        page.fill(f'[name="{key}:{name}"]', value)
    choose(page, f"{key}:looked", "yes")


def no_wider_than_the_screen(page: Any) -> bool:
    return page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def out_of_service_comes_first(page: Any) -> bool:
    content = page.locator("main").inner_text()
    return content.lstrip().startswith("Out of service") and "Checks due" in content


def test_a_stagehand_finds_a_bad_rope_with_the_keypad(house: Any, tab: Any) -> None:
    page, key = tab(PHONE), f"running_rope.{house.rope.pk}"
    sign_in(page, "stagehand", "/v/larkspur/t/W1/")
    page.get_by_role("button", name="Start this check").first.click()
    page.get_by_text("Question 1 of 2").wait_for()
    type_rope(page, key)
    page.locator(f'[name="{key}:broken_lay"]').focus()
    page.locator('.keypad:visible [data-key="6"]').click()
    assert page.input_value(f'[name="{key}:broken_lay"]') == "6"
    question = page.locator(f'[data-question="{key}"]')
    question.locator(
        '[data-verdict][data-state="retire"], [data-verdict][data-state="out-of-service"]'
    ).wait_for()
    words = question.locator("[data-verdict]").inner_text()
    assert "limit 6" in words, words
    assert no_wider_than_the_screen(page)
    walk_on(page, "Next")
    choose(page, f"rope_identified.{house.rope.pk}:given", "yes")
    walk_on(page, "Look it over")
    page.wait_for_url("**/review/")
    assert "Still open" not in page.locator("main").inner_text()
    assert no_wider_than_the_screen(page)
    page.get_by_role("button", name="Submit").click()
    page.wait_for_url("**/records/*/")
    page.goto("/v/larkspur/t/W1/")
    assert out_of_service_comes_first(page)
    assert no_wider_than_the_screen(page)
    assert Record.objects.get().by == house.people["stagehand"]
    assert Order.objects.get().what == "out_of_service"


@pytest.mark.parametrize("script", [True, False])
def test_out_of_service_stays_first_in_few_lines_and_a_unit_is_tapped(
    house: Any, tab: Any, script: bool
) -> None:
    take_out_of_service(
        equipment=house.winch, why="Scraping heard", by=house.people["second"], at=timezone.now()
    )
    page, key = tab(PHONE, script=script), f"running_rope.{house.rope.pk}"
    sign_in(page, "stagehand", "/v/larkspur/t/W1/")
    page.get_by_role("button", name="Start this check").first.click()
    page.wait_for_url("**/checks/*/")
    banner = page.locator("main > :first-child")
    words = " ".join(banner.inner_text().split())
    assert words.startswith("Out of service: W1 Do not use it")
    assert "Scraping heard" in words
    assert page.locator(".banner-out").count() == 1
    box = banner.bounding_box()
    assert box["y"] < 100
    assert box["height"] < 130
    assert page.locator(f'[name="{key}:unit"]:checked').get_attribute("value") == "mm"
    choose(page, f"{key}:unit", "in")
    for name, value in (BAD_ROPE | {"dia_1_a": "0.2475", "dia_1_b": "0.2475"}).items():
        page.fill(f'[name="{key}:{name}"]', value)
    page.fill(f'[name="{key}:broken_lay"]', "6")
    choose(page, f"{key}:looked", "yes")
    if script:
        page.locator(f'[data-question="{key}"] [data-verdict][data-state]').wait_for()
    else:
        with page.expect_navigation():
            page.get_by_role("button", name="Keep it and look it over").click()
    words = page.locator("main").inner_text()
    assert "limit 6" in words, words
    assert no_wider_than_the_screen(page)


def test_the_same_check_without_script_is_one_long_form(house: Any, tab: Any) -> None:
    page, key = tab(PHONE, script=False), f"running_rope.{house.rope.pk}"
    sign_in(page, "stagehand", "/v/larkspur/t/W1/")
    page.get_by_role("button", name="Start this check").first.click()
    page.wait_for_url("**/checks/*/")
    assert page.locator("[data-question]:visible").count() == 2
    type_rope(page, key)
    page.fill(f'[name="{key}:broken_lay"]', "6")
    choose(page, f"rope_identified.{house.rope.pk}:given", "yes")
    page.get_by_role("button", name="Keep it and look it over").click()
    page.wait_for_url("**/review/")
    assert "limit 6" in page.locator("main").inner_text()
    page.get_by_role("button", name="Submit").click()
    page.wait_for_url("**/records/*/")
    page.goto("/v/larkspur/t/W1/")
    assert out_of_service_comes_first(page)
    assert Record.objects.count() == Order.objects.count() == 1


def test_a_second_competent_person_returns_it_at_a_desk(house: Any, tab: Any) -> None:
    people, now = house.people, timezone.now()
    finding = take_out_of_service(
        equipment=house.winch, why="Six broken wires", by=people["stagehand"], at=now
    )
    where = f"/v/larkspur/findings/{finding.pk}/"
    first, second = tab(DESK), tab(DESK)
    sign_in(first, "competent", where)
    first.fill("[name=what]", "New rope reeved and run in")
    first.set_input_files("[name=evidence]", photograph())
    first.get_by_role("button", name="Record the remedy").click()
    first.get_by_text("New rope reeved and run in").wait_for()
    sign_in(second, "second", where)
    assert "Out of service" in second.locator("main").inner_text()
    second.fill("[name=statement]", "New rope seen over its length, run empty and loaded")
    second.get_by_role("button", name="Return it").click()
    second.wait_for_url(f"**/equipment/{house.winch.pk}/")
    assert second.locator(".banner-out").count() == 0
    assert ReturnToService.objects.get().by == people["second"]
    assert not state_of(house.winch, date(2030, 1, 1)).out


def photograph() -> dict[str, Any]:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(out, "JPEG")
    return {"name": "rope.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}
