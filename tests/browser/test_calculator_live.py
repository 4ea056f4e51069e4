"""A calculator on a phone: the answer follows while typing, and a stale one is never left bright."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.conftest import PATIENCE
from tests.house import PASSWORD, make_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"width": 390, "height": 844}
DIMMED = "#answer[aria-busy='true']"


def signed_in(chromium: Any, live_server: Any, complaints: list[str], script: bool) -> Any:
    context = chromium.new_context(
        base_url=live_server.url, viewport=PHONE, java_script_enabled=script
    )
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.on("pageerror", lambda fault: complaints.append(str(fault)))
    page.on("console", lambda said: "Security Policy" in said.text and complaints.append(said.text))
    page.goto("/account/login/")
    page.fill("input[name=login]", "stagehand@larkspur.example")
    page.fill("input[name=password]", PASSWORD)
    page.press("input[name=password]", "Enter")
    page.wait_for_url("**/v/**")
    return page


@pytest.fixture
def complaints() -> Iterator[list[str]]:
    heard: list[str] = []
    yield heard
    assert heard == []


def address(house: Any) -> str:
    return f"/v/{house.venue.slug}/calculators/fleet-angle/"


def test_the_answer_follows_while_typing_and_stands_in_the_address(
    chromium: Any, live_server: Any, complaints: list[str]
) -> None:
    house = make_house()
    page = signed_in(chromium, live_server, complaints, script=True)
    page.goto(address(house))
    page.fill("#offset", "4 in")
    page.fill("#distance", "12' 6\"")
    page.select_option("#drum", "smooth")
    page.wait_for_selector("#answer .results")
    page.wait_for_url("**drum=smooth**")
    assert "1.53°" in page.inner_text("#answer")
    assert "Read as 101.6 mm (4 in)" in page.inner_text("#field-offset")
    page.fill("#offset", "4 bananas")
    page.wait_for_selector("#field-offset.faulty")
    assert page.get_attribute("#offset", "aria-invalid") == "true"
    assert "1.53°" not in page.inner_text("#answer")
    page.fill("#offset", "3 in")
    page.wait_for_selector("#field-offset:not(.faulty)")
    assert page.get_attribute("#offset", "aria-invalid") is None
    # Sent as a link, the same answer stands there.
    page.reload()
    assert "Within" in page.inner_text("#answer")


def test_an_answer_that_cannot_be_asked_for_stays_dimmed_and_says_so(
    chromium: Any, live_server: Any, complaints: list[str]
) -> None:
    house = make_house()
    page = signed_in(chromium, live_server, complaints, script=True)
    page.goto(address(house) + "?offset=3+in&distance=4+m&drum=smooth")
    assert page.query_selector(DIMMED) is None
    page.context.set_offline(True)
    page.fill("#offset", "30 in")
    page.wait_for_selector("#answer-late:not([hidden])")
    assert page.query_selector(DIMMED) is not None
    page.context.set_offline(False)
    page.fill("#offset", "31 in")
    page.wait_for_selector("#answer:not([aria-busy])")
    assert page.is_hidden("#answer-late")
    assert "Beyond" in page.inner_text("#answer")


def test_without_script_a_press_answers(
    chromium: Any, live_server: Any, complaints: list[str]
) -> None:
    house = make_house()
    page = signed_in(chromium, live_server, complaints, script=False)
    page.goto(address(house))
    page.fill("#offset", "75 mm")
    page.fill("#distance", "3 m")
    page.select_option("#drum", "grooved")
    page.click("form[data-calculator] button")
    page.wait_for_url("**offset=75**")
    assert "1.44°" in page.inner_text("#answer")
