"""A thumb that taps twice, and files that a phone's own browser picks up by mistake."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from inspections.actions.open_finding import take_out_of_service
from inspections.actions.plans import apply_regime
from inspections.models import Draft, Order, Record, Remedy
from tests.browser.hands import PHONE, Person, photograph
from tests.browser.test_phone_check import BAD_ROPE
from tests.conftest import PATIENCE
from tests.house import make_house
from venue.models import KeptFile, LogLine

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TAG = "/v/larkspur/t/W1/"
PROGRAM = {"name": "rope.jpg", "mimeType": "image/jpeg", "buffer": b"MZ\x90\x00" + b"\x00" * 4096}
LARGE = b"\xff\xd8\xff" + b"\x00" * 26_000_000
NO_PHOTOGRAPH = "“rope.jpg” is not a photograph this can read."
TOO_LARGE = "“rope.jpg” is 26 MB; a photograph may have 25 MB."


@pytest.fixture
def house(live_server: Any) -> Any:
    house, now = make_house(), timezone.now()
    apply_regime(
        equipment=house.winch, regime=house.regime, anchor=now.date(), last_done_on=None,
        by=house.people["manager"], at=now,
    )  # fmt: skip
    return house


@pytest.fixture
def competent(house: Any, tab: Callable[..., Any]) -> Person:
    return Person(tab, PHONE, "competent@larkspur.example")


def twice(person: Person, words: str) -> None:
    """Two taps faster than any page can answer."""
    before = person.page.url
    person.page.get_by_role("button", name=words).first.dblclick(no_wait_after=True)
    # The second tap may break off the way that the first began: only where it ends counts.
    expect(person.page).not_to_have_url(before, timeout=PATIENCE)


def test_every_button_of_a_check_tapped_twice_makes_one_record(
    house: Any, competent: Person
) -> None:
    key = f"running_rope.{house.rope.pk}"
    competent.sign_in(TAG)
    twice(competent, "Start this check")
    competent.page.get_by_text("Question 1 of 2").wait_for()
    assert Draft.objects.count() == 1
    competent.type(**{f"{key}:{name}": text for name, text in BAD_ROPE.items()})
    competent.type(**{f"{key}:broken_lay": "6"})
    competent.tick(f"{key}:looked", "yes")
    competent.walk_on("Next")
    competent.tick(f"rope_identified.{house.rope.pk}:given", "yes")
    competent.walk_on("Look it over")
    competent.page.wait_for_url("**/review/")
    twice(competent, "Submit, as Competent")
    competent.page.wait_for_url("**/records/*/")
    assert Record.objects.count() == Order.objects.count() == 1
    assert LogLine.objects.filter(did="submit_check").count() == 1


def test_taking_out_of_service_twice_leaves_it_out_and_opens_one_finding(
    house: Any, competent: Person
) -> None:
    competent.sign_in(f"/v/larkspur/equipment/{house.winch.pk}/out/")
    competent.type(why="Noise at the drum")
    twice(competent, "Out of service now")
    competent.page.wait_for_url(f"**{TAG}")
    assert competent.reads().startswith("Out of service")
    assert Order.objects.count() == 1


def test_a_program_for_a_photograph_is_refused_by_the_phone_itself(
    house: Any, competent: Person, tmp_path: Path
) -> None:
    large = tmp_path / "rope.jpg"
    large.write_bytes(LARGE)
    key = f"running_rope.{house.rope.pk}"
    competent.sign_in("/v/larkspur/round/")
    competent.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    competent.page.reload()
    competent.page.get_by_text("This round is on the phone").wait_for()
    competent.press("Start this check")
    competent.page.get_by_text("Question 1 of 2").wait_for()
    competent.type(**{f"{key}:{name}": text for name, text in BAD_ROPE.items()})
    for file, words in ((PROGRAM, NO_PHOTOGRAPH), (large, TOO_LARGE)):
        competent.enclose(f"{key}:photo", file)
        competent.page.get_by_text(words).wait_for()
        assert competent.page.input_value(f'[name="{key}:photo"]') == ""
    competent.looks("photo-refused")
    assert competent.page.input_value(f'[name="{key}:dia_1_a"]') == BAD_ROPE["dia_1_a"]
    competent.enclose(f"{key}:photo", photograph())
    competent.page.get_by_text(TOO_LARGE).wait_for(state="detached")
    competent.tick(f"{key}:looked", "yes")
    competent.walk_on("Next")
    competent.tick(f"rope_identified.{house.rope.pk}:given", "yes")
    competent.walk_on("Look it over")
    competent.page.locator(".attention .choices button").first.click()
    assert "One photograph" in competent.reads()


def test_a_remedy_with_a_program_for_a_photograph_is_refused_and_keeps_its_words(
    house: Any, competent: Person
) -> None:
    finding = take_out_of_service(
        equipment=house.winch, why="Noise", by=house.people["stagehand"], at=timezone.now()
    )
    competent.sign_in(f"/v/larkspur/findings/{finding.pk}/")
    competent.type(what="Bearing changed")
    competent.enclose("evidence", PROGRAM)
    competent.press("Record the remedy")
    assert NO_PHOTOGRAPH in competent.looks("remedy-program")
    assert competent.page.input_value("[name=what]") == "Bearing changed"
    assert not KeptFile.objects.exists()
    competent.enclose("evidence", photograph())
    twice(competent, "Record the remedy")
    competent.page.get_by_text("Evidence 1").first.wait_for()
    assert Remedy.objects.count() == 1
