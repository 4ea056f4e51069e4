"""`python -m bench.journeys`: clicks, keys and time of what each of the four people does most.

Each journey begins on *Tonight*, signed in, and ends when the house says that it is done. Every click
and every key is counted by the page itself; a choice from a list of the browser's own, which the
browser here does not draw, counts as two clicks. The stagehand's check is the commonest of the demo
house, in order throughout; `bench.taps` has three of them and says how they are filled in.

Two times stand side by side. The machine's is from the first click to the end, with nobody thinking.
The person's is the keystroke-level model of `bench.taps`: 1.10 s for each pointing, 0.28 s for each
key, 1.35 s to make up one's mind, once a page, and the machine's time. What happens in the background
afterwards, such as the printing of a report, is waited for by nobody and is not in it.

The figures are our own output, of one machine and one run.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from os import cpu_count, getloadavg
from typing import Any

from bench.demo_house import running_demo_house
from bench.every_page import sign_in
from bench.pocket import chromium, phone_with_round, take_along
from bench.taps import COUNT, KEY, MIND, POINT, carry_out, oftenest
from inspections.reports.words import MEANINGS

TONIGHT = "/v/larkspur/"
DESK = {"width": 1440, "height": 900}
IN_A_LIST = 2


@dataclass
class Gone:
    what: str
    clicks: int
    keys: int
    pages: int
    machine: float

    @property
    def person(self) -> float:
        return POINT * self.clicks + KEY * self.keys + MIND * self.pages + self.machine


class Hands:
    """A tab whose clicks go to what a person would see, and are counted."""

    def __init__(self, tab: Any) -> None:
        self.tab, self.pages, self.in_lists = tab, 1, 0

    def follow(self, words: str, where: str) -> None:
        self.tab.get_by_role("link", name=words).first.click()
        self._arrived(where)

    def press(self, words: str, where: str = "") -> None:
        self.tab.get_by_role("button", name=words, exact=True).first.click()
        if where:
            self._arrived(where)

    def choose(self, field: str, label: str) -> None:
        self.tab.select_option(field, label=label)
        self.in_lists += IN_A_LIST

    def write(self, field: str, text: str) -> None:
        self.tab.locator(field).click()
        self.tab.keyboard.press("Control+a")
        self.tab.keyboard.type(text)

    def _arrived(self, where: str) -> None:
        self.tab.wait_for_url(where)
        self.pages += 1


def odile_gives_a_task_a_day_and_a_person(odile: Hands) -> None:
    odile.follow("All tasks", "**/tasks/")
    odile.tab.locator('tbody tr:has-text("Nobody yet") th a').first.click()
    odile.tab.wait_for_url("**/tasks/*/")
    odile.pages += 1
    odile.choose("[name=person]", "Jonas Quill")
    odile.press("Save")
    odile.tab.locator("dd", has_text="Jonas Quill").wait_for()


def marisol_signs_the_report_of_the_day(marisol: Hands) -> None:
    marisol.follow("Reports", "**/reports/")
    marisol.follow("Report today", "**/report/")
    marisol.tab.locator("[name=records]").first.check()
    marisol.tab.locator(f'[name=meaning][value="{MEANINGS[1]}"]').check()  # she reviewed, he looked
    marisol.press("Sign and issue")
    marisol.tab.get_by_text("Waiting for the background worker").wait_for()
    marisol.pages += 1


def ines_asks_for_a_bundle_of_the_year(ines: Hands) -> None:
    ines.follow("Evidence", "**/evidence/")
    ines.press("Make the bundle", "**/evidence/*/")


JOURNEYS: tuple[tuple[str, str, Callable[[Hands], None]], ...] = (
    ("Manager: a task gets its person", "odile@larkspur.example", odile_gives_a_task_a_day_and_a_person),
    ("Examiner: the report of the day is signed", "marisol@examiner.example", marisol_signs_the_report_of_the_day),
    ("Auditor: a bundle of the year is asked for", "ines@insurer.example", ines_asks_for_a_bundle_of_the_year),
)  # fmt: skip


def main() -> int:
    print(f"{'':52}{'clicks':>7}{'keys':>6}{'pages':>6}{'machine':>9}{'person':>8}")
    with running_demo_house() as (port, folder), chromium() as browser:
        address = f"http://localhost:{port}"
        tell(the_commonest_check(browser, address, folder))
        for what, who, journey in JOURNEYS:
            context = browser.new_context(base_url=address, viewport=DESK, service_workers="block")
            context.set_default_timeout(60000)
            tell(walk(context.new_page(), what, who, journey))
            context.close()
    print(f"{getloadavg()[0]:.1f} programs wanted the machine's {cpu_count()} processors")
    return 0


def the_commonest_check(browser: Any, address: str, folder: Any) -> Gone:
    check = oftenest(folder / "demo.sqlite3")[0]
    tab = phone_with_round(browser, address)
    tab.add_init_script(COUNT)
    take_along(tab)
    carry_out(tab, check)
    minds = check.questions + 1
    return Gone(f"Stagehand: {check.title}", check.taps, check.keys, minds, check.machine)


def walk(tab: Any, what: str, who: str, journey: Callable[[Hands], None]) -> Gone:
    sign_in(tab, who)
    tab.add_init_script(COUNT)
    tab.goto(TONIGHT)
    tab.evaluate("sessionStorage.removeItem('counted')")
    tab.reload()
    hands, began = Hands(tab), time.perf_counter()
    journey(hands)
    took = time.perf_counter() - began
    counted = tab.evaluate("globalThis.counted")
    return Gone(what, counted["taps"] + hands.in_lists, counted["keys"], hands.pages, took)


def tell(each: Gone) -> None:
    counts = f"{each.clicks:7}{each.keys:6}{each.pages:6}"
    print(f"{each.what[:51]:52}{counts}{each.machine:7.1f} s{each.person:6.0f} s", flush=True)


if __name__ == "__main__":
    sys.exit(main())
