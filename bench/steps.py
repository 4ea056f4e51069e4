"""`python -m bench.steps [FOLDER]`: a picture of every step of a check on a phone, to be looked at.

The round, a tag, each kind of question, a bad verdict, out of service, the last look, saved, sent and
not sent, in the three looks on 390 by 844; the three most used pages also 320 wide, with text twice as
large, and lying on its side. Nothing is compared: a person looks.
"""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

from bench.demo_house import PROJECT, running_demo_house
from bench.pocket import ROUND, chromium, new_phone, take_along
from bench.screenshots import sign_in

OUT = PROJECT / "bench" / "out" / "steps"
LOOKS = ("light", "dark", "stage-blue")
ROPES, LIFT = "winch_ropes_monthly", "pit_lift_monthly"
# Name, width, height, how large the text.
SHAPES = (("narrow", 320, 640, 1), ("large-text", 390, 844, 2), ("lying", 844, 390, 1))
PLANNED = """
UPDATE inspections_task SET planned_on = date('now'), person_id = NULL WHERE id = (
  SELECT t.id FROM inspections_task t JOIN inspections_plan p ON p.id = t.plan_id
  JOIN venue_venue h ON h.id = t.venue_id
  WHERE h.slug = 'larkspur' AND p.regime = ? AND t.state = 'open' ORDER BY t.planned_on LIMIT 1
) RETURNING id
"""
BIG = "document.documentElement.style.fontSize = '200%'"


def main(arguments: list[str]) -> int:
    folder = Path(arguments[0]) if arguments else OUT
    folder.mkdir(parents=True, exist_ok=True)
    with running_demo_house() as (port, house), chromium() as browser:
        tasks = plan_for_today(house / "demo.sqlite3")
        for look in LOOKS:
            walk(browser, f"http://localhost:{port}", look, tasks, folder)
    return 0


def plan_for_today(database: Path) -> dict[str, int]:
    with closing(sqlite3.connect(database)) as connection:
        found = {
            regime: connection.execute(PLANNED, (regime,)).fetchone()[0] for regime in (ROPES, LIFT)
        }
        connection.commit()
    return found


def walk(browser: Any, address: str, look: str, tasks: dict[str, int], folder: Path) -> None:
    phone = new_phone(browser, address)
    phone.add_init_script(f"localStorage.setItem('loftbook-look', '{look}')")
    tab = phone.new_page()
    sign_in(tab)
    take_along(tab)
    steps = Steps(tab, look, folder)
    steps.keep("01-round", whole=True)
    tab.goto("/v/larkspur/t/W1/")
    steps.keep("02-tag", whole=True)
    steps.questions(tasks[LIFT], "lift")
    steps.questions(tasks[ROPES], "rope")
    if look == LOOKS[0]:
        steps.shapes(tasks[ROPES])
    steps.to_the_end(tasks[ROPES])
    steps.out_of_service()
    phone.close()


class Steps:
    def __init__(self, tab: Any, look: str, folder: Path) -> None:
        self.tab, self.look, self.folder = tab, look, folder

    def keep(self, name: str, *, whole: bool = False) -> None:
        self.tab.wait_for_timeout(300)
        path = self.folder / f"{name}-{self.look}.png"
        self.tab.screenshot(path=path, full_page=whole)
        wide = self.tab.evaluate("document.documentElement.scrollWidth - innerWidth")
        print(path.name, f"{wide} px too wide" if wide > 0 else "")

    def open(self, task: int) -> None:
        self.tab.goto(f"/v/larkspur/kept/{task}/")
        self.tab.locator(".in-steps .question:not([hidden])").wait_for()

    def questions(self, task: int, name: str) -> None:
        """Each question as it is first seen; shown by the page's own event, none is answered."""
        self.open(task)
        for place in range(min(self.tab.locator(".question").count(), 9)):
            self.show(place)
            self.keep(f"03-{name}-{place + 1}")

    def show(self, place: int) -> None:
        self.tab.evaluate(
            "(place) => { const form = document.querySelector('form[data-check]');"
            "form.dispatchEvent(new CustomEvent('goto',"
            "{ detail: form.querySelectorAll('[data-question]')[place] })); }",
            place,
        )

    def shapes(self, task: int) -> None:
        pages = {"round": ROUND, "tag": "/v/larkspur/t/W1/", "check": f"/v/larkspur/kept/{task}/"}
        for shape, width, height, text in SHAPES:
            self.tab.set_viewport_size({"width": width, "height": height})
            for name, page in pages.items():
                self.tab.goto(page)
                if text > 1:
                    self.tab.evaluate(BIG)
                self.keep(f"10-{shape}-{name}")
        self.tab.set_viewport_size({"width": 390, "height": 844})

    def to_the_end(self, task: int) -> None:
        """A bad rope among sound ones, then the last look, saved without signal, and sent."""
        self.open(task)
        tab = self.tab
        for place in range(tab.locator(".question").count()):
            self.answer(bad=place == 0)
            tab.wait_for_timeout(700)
            if place == 0:
                tab.locator(".question:not([hidden]) [data-verdict]").scroll_into_view_if_needed()
                self.keep("04-bad-verdict")
            tab.locator(".check-steps .main").tap()
            tab.wait_for_timeout(300)
        if tab.locator(".attention").count():
            self.keep("05-attention")
            tab.locator(".attention .choices button").first.tap()
        self.keep("06-look-it-over", whole=True)
        tab.context.set_offline(True)
        tab.get_by_role("button", name="Save this check").tap()
        tab.get_by_text("Not sent yet. It is sent").wait_for()
        self.keep("07-saved-not-sent")
        tab.goto(ROUND)
        tab.get_by_text("No signal: this is the round").wait_for()
        self.keep("08-round-not-sent")
        tab.context.set_offline(False)
        tab.reload()
        tab.locator("[data-outbox]").wait_for(state="hidden")
        tab.wait_for_timeout(1500)
        self.keep("09-round-sent")

    def answer(self, *, bad: bool) -> None:
        box = self.tab.locator(".question:not([hidden])")
        values = {"dia_1_a": "5.0" if bad else "6.35", "dia_1_b": "5.0" if bad else "6.35"}
        for name in ("broken_lay", "broken_strand_count", "broken_valley", "broken_end"):
            values[name] = "0"
        if box.locator("[name$=':dia_1_a']").count():
            for name, value in values.items():
                box.locator(f"[name$=':{name}']").fill(value)
            box.locator("label:has([name$=':looked'][value=yes])").tap()
            for sure in box.locator("[data-ask-again]:visible").all():
                sure.tap()
        else:
            box.locator("label:has([name$=':given'][value=yes])").tap()

    def out_of_service(self) -> None:
        self.tab.goto("/v/larkspur/t/W2/")
        self.tab.get_by_role("link", name="Take out of service").tap()
        self.keep("11-out-why")
        self.tab.keyboard.press("Escape")
        self.tab.goto("/v/larkspur/t/W1/")
        self.keep("12-tag-after")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
