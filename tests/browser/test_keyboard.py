"""Four people go through their main work with nothing but a keyboard, and always see where they are."""

from __future__ import annotations

from typing import Any

import pytest

from inspections.models import Order, Record
from inspections.reports.words import MEANINGS
from tests.browser.hands import DESK, TIME_TO_READ, TRIES
from tests.browser.test_phone_check import BAD_ROPE, sign_in
from tests.house import make_equipment

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

V = "/v/larkspur/"
MOST = 250  # presses of Tab before something counts as out of reach
# What a screen reader would say of it, its field, where it leads; and whether it can be seen there.
FOCUSED = """() => {
    const here = document.activeElement;
    const drawn = [here, here.nextElementSibling, here.closest("label")].filter(Boolean);
    const box = here.matches("input[type=radio], input[type=checkbox]") && here.labels[0] || here;
    const { top, bottom, width } = box.getBoundingClientRect();
    const labels = [...here.labels ?? []].map((each) => each.innerText).join();
    const said = here.getAttribute("aria-label") ?? (labels || here.innerText);
    const ring = (each) => each.outlineStyle !== "none" && parseFloat(each.outlineWidth) >= 2;
    return {
        said: here === document.body ? "" : said.trim(), name: here.name ?? "", value: here.value ?? "",
        leads: here.getAttribute("href") ?? "",
        ring: drawn.some((each) => ring(getComputedStyle(each))),
        seen: width > 1 && bottom > 0 && top < innerHeight,
    };
}"""


class Keyboard:
    def __init__(self, page: Any) -> None:
        self.page, self.met = page, 0

    def tab(self) -> dict[str, Any]:
        """One Tab further. Whatever is met on the way shows that it is there, too."""
        self.page.keyboard.press("Tab")
        here = self.page.evaluate(FOCUSED)
        if here["said"] or here["name"]:
            self.met += 1
            assert here["ring"], f"no ring around {here}"
            assert here["seen"], f"out of sight: {here}"
        return here

    def to(self, words: str = "", **wanted: str) -> None:
        """Tab until what has these words, or this name, value or address."""
        for _ in range(MOST):
            here = self.tab()
            is_it = here["said"].startswith(words) and (here["said"] or here["name"])
            if is_it and all(part in here[name] for name, part in wanted.items()):
                return
        raise AssertionError(f"{words} {wanted} is not reached by Tab on {self.page.url}")

    def go(self, words: str, where: str, **wanted: str) -> None:
        self.to(words, **wanted)
        self.page.keyboard.press("Enter")
        self.page.wait_for_url(where)

    def type(self, name: str, text: str) -> None:
        self.to(name=name)
        self.page.keyboard.type(text)

    def choose(self, name: str, value: str) -> None:
        """Tab comes to a group of choices, the arrows go from one to the next."""
        self.to(name=name)
        self.page.keyboard.press("Space")
        for _ in range(8):
            if self.page.evaluate(FOCUSED)["value"] == value:
                return
            self.page.keyboard.press("ArrowDown")
        raise AssertionError(f"{name} has no choice {value}")

    def walk(self, key: str) -> str:
        self.page.keyboard.press(key)
        here = self.page.evaluate(FOCUSED)
        assert here["ring"], here
        assert here["seen"], here
        return str(here["said"])


def test_the_main_journeys_are_gone_by_keyboard_alone(one_day: None, house: Any, tab: Any) -> None:
    for tag in ("W2", "W3"):
        make_equipment(house.venue, tag)
    tam = at_the_desk(tab, "competent", V)
    tam_goes_from_his_round_to_a_stored_check(tam, house)
    odile = at_the_desk(tab, "manager", V)
    odile_takes_a_winch_out_of_service(odile)
    marisol = at_the_desk(tab, "examiner", V)
    marisol_signs_a_report(marisol)
    ines = at_the_desk(tab, "auditor", V)
    ines_opens_the_record_of_a_task(ines)
    assert sum(each.met for each in (tam, odile, marisol, ines)) > 100


def at_the_desk(tab: Any, who: str, where: str) -> Keyboard:
    page = tab(DESK)
    sign_in(page, who, where)
    keyboard = Keyboard(page)
    page.goto(where)
    assert keyboard.tab()["said"] == "Go to the content"
    return keyboard


def tam_goes_from_his_round_to_a_stored_check(tam: Keyboard, house: Any) -> None:
    key = f"running_rope.{house.rope.pk}"
    tam.go("My round", "**/round/")
    tam.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    tam.page.reload()
    tam.page.get_by_text("This round is on the phone").wait_for()
    tam.go("Start this check", "**/kept/*/")
    tam.page.get_by_text("Question 1 of 2").wait_for()
    tam.choose(f"{key}:looked", "yes")
    for name, typed in (BAD_ROPE | {"broken_lay": "3"}).items():
        tam.type(f"{key}:{name}", typed)
    tam.page.locator(f'[data-question="{key}"] [data-verdict][data-state]').wait_for()
    walks_on(tam, "Next", tam.page.get_by_text("Question 2 of 2"))
    tam.choose(f"rope_identified.{house.rope.pk}:given", "yes")
    walks_on(tam, "Look it over", tam.page.locator(".check-review"))
    choices = tam.page.locator(".attention .choices button")
    if choices.count():  # the question that shows whether somebody looks
        tam.to(choices.first.inner_text())
        tam.page.keyboard.press("Enter")
    tam.to("Save this check")
    tam.page.keyboard.press("Enter")
    tam.page.get_by_text("Sent: it stands in the book.").wait_for()
    assert Record.objects.get().by == house.people["competent"]


def walks_on(tam: Keyboard, words: str, there: Any) -> None:
    """A verdict that is not calm holds the page back once, until it could be read."""
    held_back = tam.page.get_by_text("Read the verdict, then go on.")
    tam.to(words)
    for _ in range(TRIES):
        tam.page.keyboard.press("Enter")
        there.or_(held_back).first.wait_for()
        if there.is_visible():
            return
        tam.page.wait_for_timeout(TIME_TO_READ)  # no proof of anything: it is read, as was asked
        assert tam.page.evaluate(FOCUSED)["said"] == words
    raise AssertionError(f"{words} leads nowhere")


def odile_takes_a_winch_out_of_service(odile: Keyboard) -> None:
    odile.go("Equipment", "**/equipment/")
    odile.to("Winch W1")
    assert [odile.walk(key) for key in ("ArrowDown", "End", "ArrowDown", "Home")] == [
        "Winch W2", "Winch W3", "Winch W3", "Winch W1",
    ]  # fmt: skip
    odile.walk("ArrowDown")
    odile.page.keyboard.press("Enter")
    odile.page.wait_for_url("**/equipment/*/")
    odile.go("Take out of service", "**/out/")
    odile.type("why", "Scraping heard at the drum")
    odile.go("Out of service now", "**/t/W2/")
    assert odile.page.locator("main").inner_text().startswith("Out of service: W2")
    assert Order.objects.filter(equipment__tag="W2").count() == 1


def marisol_signs_a_report(marisol: Keyboard) -> None:
    marisol.go("Reports", "**/reports/")
    marisol.go("Report today", "**/days/*/report/")
    marisol.to(name="records")
    marisol.page.keyboard.press("Space")
    marisol.choose("meaning", MEANINGS[1])
    marisol.to("Sign and issue")
    marisol.page.keyboard.press("Enter")
    marisol.page.get_by_text("Waiting for the background worker").wait_for()


def ines_opens_the_record_of_a_task(ines: Keyboard) -> None:
    ines.go("Evidence", "**/evidence/")
    ines.go("", "**/audit/*", leads="/audit/")
    ines.go("", "**/records/*/", leads="/records/")
    assert "Competence that day" in ines.page.locator("main").inner_text()
