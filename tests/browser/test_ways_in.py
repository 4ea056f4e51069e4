"""Ways to a thing from the round: its tag typed or scanned, also with the line cut."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
import segno
from django.utils import timezone

from inspections.actions.plans import apply_regime
from tests.browser.round_on_a_phone import take_the_round
from tests.browser.test_phone_check import no_wider_than_the_screen, sign_in
from tests.house import make_equipment, make_rope

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# A camera and a reader of our own, for a machine that has neither: the reader always reads CODE.
READER = """
window.BarcodeDetector = class { async detect() { return [{rawValue: CODE}]; } };
navigator.mediaDevices.getUserMedia = async () => {
  const canvas = document.createElement("canvas");
  const pen = canvas.getContext("2d");
  setInterval(() => pen.fillRect(0, 0, Math.random() * 50, 50), 50);
  window.camera = canvas.captureStream(5);
  return window.camera;
};
"""


# A camera before which one label is held.
CAMERA_THAT_SEES = """
navigator.mediaDevices.getUserMedia = async () => {
  const canvas = Object.assign(document.createElement("canvas"), { width: 640, height: 480 });
  const pen = canvas.getContext("2d");
  const rows = MODULES, side = 8, edge = 2 * side;
  const whole = rows.length * side + 2 * edge;
  setInterval(() => {
    pen.fillStyle = "#777";
    pen.fillRect(0, 0, 640, 480);
    pen.setTransform(1, 0.08, -0.08, 1, 160, 90);
    pen.fillStyle = "#e8e4d8";
    pen.fillRect(0, 0, whole, whole);
    pen.fillStyle = "#222";
    const dot = (x, y) => pen.fillRect(edge + x * side, edge + y * side, side, side);
    rows.forEach((row, y) => row.forEach((dark, x) => dark && dot(x, y)));
    pen.resetTransform();
  }, 50);
  return canvas.captureStream(20);
};
"""
FETCHED = (
    """performance.getEntriesByType("resource").some(({ name }) => name.includes("/vendor/"))"""
)


@pytest.fixture
def two_winches(house: Any) -> Any:
    now = timezone.now()
    other = make_equipment(house.venue, "W2")
    make_rope(other)
    apply_regime(
        equipment=other, regime=house.regime, anchor=now.date() - timedelta(days=1),
        last_done_on=None, by=house.people["manager"], at=now,
    )  # fmt: skip
    return house


def shown_tags(page: Any) -> list[str]:
    return page.locator("article[data-tag]:visible").evaluate_all(
        "cards => cards.map((card) => card.dataset.tag)"
    )


def reads(phone: Any, code: str) -> None:
    phone.add_init_script(READER.replace("CODE", repr(code)))


def test_a_tag_typed_leaves_its_thing_and_enter_opens_it_with_the_line_cut(
    two_winches: Any, phone: Any
) -> None:
    page = take_the_round(phone, "stagehand")
    assert shown_tags(page) == ["W2", "W1"]  # the earlier day first, in one place
    phone.set_offline(True)
    page.reload()
    page.get_by_text("this is the round as it was fetched").wait_for()
    page.get_by_label("Find by tag or name").fill("w2")
    assert shown_tags(page) == ["W2"]
    page.get_by_label("Find by tag or name").press("Enter")
    page.wait_for_url("**/t/W2/")
    assert "Winch W2" in page.locator("h1").inner_text()


def test_a_tag_that_is_not_on_the_round_is_looked_for_in_the_whole_house(
    two_winches: Any, phone: Any
) -> None:
    make_equipment(two_winches.venue, "X9")
    page = take_the_round(phone, "stagehand")
    page.get_by_label("Find by tag or name").fill("X9")
    assert shown_tags(page) == []
    page.get_by_text("Nothing on this round is called so").wait_for()
    page.get_by_label("Find by tag or name").press("Enter")
    page.wait_for_url("**/equipment/?words=X9")
    page.get_by_role("link", name="Winch X9").wait_for()


def test_the_page_of_a_kept_tag_opens_from_its_code_with_the_line_cut(
    house: Any, phone: Any
) -> None:
    take_the_round(phone, "stagehand")
    phone.set_offline(True)
    page = phone.new_page()
    page.goto("/v/larkspur/t/W1/")
    assert "Winch W1" in page.locator("h1").inner_text()
    page.get_by_role("button", name="Start this check").click()
    page.wait_for_url("**/kept/*/")
    page.get_by_text("Question 1 of 2").wait_for()


def test_a_scanned_tag_opens_its_page_and_the_camera_stops(house: Any, phone: Any) -> None:
    reads(phone, "https://loft.example.org/v/larkspur/t/W1/")
    page = take_the_round(phone, "stagehand")
    page.evaluate(
        "addEventListener('pagehide', () => localStorage.setItem('stopped', "
        "window.camera.getTracks().every((each) => each.readyState === 'ended')))"
    )
    page.get_by_role("button", name="Scan a tag").click()
    page.wait_for_url("**/t/W1/")
    assert page.evaluate("localStorage.getItem('stopped')") == "true"


@pytest.mark.parametrize(
    "code",
    ["https://loft.example.org/v/otherhouse/t/W1/", "https://example.org/", "W1",
     "javascript:/v/larkspur/t/W1/../../x/"],
)  # fmt: skip
def test_a_code_that_is_no_tag_of_this_house_opens_nothing(
    house: Any, phone: Any, code: str
) -> None:
    reads(phone, code)
    page = take_the_round(phone, "stagehand")
    page.get_by_role("button", name="Scan a tag").click()
    page.get_by_text("This code is no tag of this house").wait_for()
    assert no_wider_than_the_screen(page)
    page.get_by_role("button", name="Close").click()
    assert page.url.endswith("/round/")
    ended = "() => window.camera.getTracks().every((each) => each.readyState === 'ended')"
    page.wait_for_function(ended)


def test_without_a_reader_in_the_browser_our_own_reads_a_printed_label(
    house: Any, phone: Any
) -> None:
    """A code made as the label sheet makes it, held a little askew before the camera."""
    code = segno.make("https://loft.example.org/v/larkspur/t/W1/", error="q", micro=False)
    modules = [[int(cell) for cell in row] for row in code.matrix]
    phone.add_init_script(
        "delete window.BarcodeDetector;" + CAMERA_THAT_SEES.replace("MODULES", str(modules))
    )
    page = take_the_round(phone, "stagehand")
    assert not page.evaluate(FETCHED), "the reader is not fetched before it is needed"
    page.get_by_role("button", name="Scan a tag").click()
    page.wait_for_url("**/t/W1/")
    page.goto("/v/larkspur/round/")
    phone.set_offline(True)
    page.reload()
    page.get_by_role("button", name="Scan a tag").click()
    page.wait_for_url("**/t/W1/")


def test_a_left_hand_finds_next_on_its_side_and_the_phone_keeps_that(
    house: Any, phone: Any
) -> None:
    page = phone.new_page()
    sign_in(page, "competent", "/v/larkspur/round/")
    page.get_by_label("Left", exact=True).check()
    assert page.evaluate("document.documentElement.dataset.hand") == "left"
    task = house.plan.tasks.first()
    page.goto(f"/v/larkspur/kept/{task.pk}/")
    page.get_by_text("Question 1 of 2").wait_for()
    page.evaluate("document.querySelector('.check-steps .button').hidden = false")
    steps = page.locator(".check-steps")
    back, on = (steps.get_by_role("button", name=name, exact=True) for name in ("Back", "Next"))
    assert on.bounding_box()["x"] < back.bounding_box()["x"]
    page.get_by_label("Right", exact=True).check()
    assert back.bounding_box()["x"] < on.bounding_box()["x"]


def test_a_phone_that_was_asked_to_sounds_and_another_stays_silent(house: Any, phone: Any) -> None:
    phone.add_init_script(
        "window.tones = 0; const start = OscillatorNode.prototype.start;"
        "OscillatorNode.prototype.start = function (at) { window.tones += 1; return start.call(this, at); };"
    )
    page = take_the_round(phone, "stagehand")
    task = house.plan.tasks.first()
    for choice, heard in (("Silent", 0), ("With a tone", 1)):
        page.goto("/v/larkspur/round/")
        page.get_by_label(choice, exact=True).check()
        page.goto(f"/v/larkspur/kept/{task.pk}/")
        page.get_by_text("Question 1 of 2").wait_for()
        page.evaluate("import('/static/js/phone/signals.js').then(({ signal }) => signal('bad'))")
        page.wait_for_function("(heard) => window.tones === heard", arg=heard)
