"""`python -m bench.taps`: how many taps a check of the round takes on a phone, and how long.

The three calendar checks that came up most often in the last fifteen months of the demo house, those
of an outside examiner left out, are each done once in a real Chromium with a finger: from *My round*
to the receipt of the server. Every tap and every key is counted by the page itself, not by this
script. Everything is found in order: every question gets its own answer, and nothing is answered by
default. Photographs that a question needs are counted as three taps in the camera, which the browser
here does not show.

Two times stand side by side. The machine's is from the first tap to the receipt, with nobody
thinking. The person's is a keystroke-level model (Card, Moran and Newell, "The Keystroke-Level Model
for User Performance Time with Interactive Systems", Communications of the ACM 23(7), 1980, pages
396-410): 1.10 s for each pointing, which is every tap here, 0.28 s for each key typed, 1.35 s to make
up one's mind, once a question and once before saving, and the machine's answers as they were
measured. The model was made for a desk and a mouse; it says nothing of gloves, darkness, the walk, or
the looking and measuring itself, which is the check.

The figures are our own output, of one machine and one run.
"""

from __future__ import annotations

import sqlite3
import sys
import time
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import TimeoutError as NotYet

from bench.demo_house import PROJECT, running_demo_house
from bench.pocket import ROUND, chromium, phone_with_round, take_along

CHECKS, OUTSIDE = 3, "outside_examiner"
POINT, KEY, MIND = 1.10, 0.28, 1.35
IN_THE_CAMERA = 3
PAUSE = 700  # ms, as long as the page wants a verdict to be seen
PHOTOGRAPH = PROJECT / "static" / "img" / "icon-512.png"
COUNT = """
globalThis.counted = JSON.parse(sessionStorage.getItem("counted") ?? '{"taps":0,"keys":0}');
const keep = () => sessionStorage.setItem("counted", JSON.stringify(globalThis.counted));
addEventListener("pointerdown", (event) => event.isTrusted && (globalThis.counted.taps += 1, keep()), true);
addEventListener("keydown", (event) => event.isTrusted && (globalThis.counted.keys += 1, keep()), true);
"""
OFTENEST = """
SELECT v.slug, v.title, count(*) AS times,
  (SELECT n.id FROM inspections_task n JOIN inspections_plan m ON m.id = n.plan_id
   WHERE m.version_id = v.id AND n.state = 'open' AND n.venue_id = h.id ORDER BY n.planned_on LIMIT 1) AS task
FROM inspections_task t JOIN inspections_plan p ON p.id = t.plan_id
JOIN inspections_regimeversion v ON v.id = p.version_id
JOIN venue_venue h ON h.id = t.venue_id
WHERE h.slug = 'larkspur' AND t.planned_on BETWEEN date('now', '-15 months') AND date('now') AND p.level <> ?
GROUP BY v.id ORDER BY times DESC LIMIT ?
"""
# In order: looked at where that stands already, yes, the first choice, a figure in the middle.
FIRST_OPEN = """() => {
    const question = document.querySelector(".question:not([hidden])");
    const shown = (field) => field.type === "file" || (field.offsetParent ?? field.closest("label")?.offsetParent);
    const filled = (field) => ["radio", "checkbox"].includes(field.type)
        ? [...question.elements].some((other) => other.name === field.name && other.checked)
        : field.type === "file" ? field.files.length || "kept" in field.dataset : field.value.trim();
    const wanted = [":broken_lay", ":broken_strand_count", ":broken_valley", ":broken_end"];
    const asked = (field) => "needed" in field.dataset || wanted.some((name) => field.name.endsWith(name));
    const open = [...question.elements].find((field) => asked(field) && shown(field) && !filled(field));
    return open ? [open.name, open.type, open.value] : null;
}"""
# The keys stand under this field already: no tap is needed to begin.
AT_THE_PAD = (
    "(field) => field.closest('.question').querySelector('.keypad')?.dataset.writes === field.name"
)
GOOD = {"dia_1_a": "6.35", "dia_1_b": "6.35"}


@dataclass
class Check:
    title: str
    times: int
    task: int
    questions: int = 0
    taps: int = 0
    keys: int = 0
    photographs: int = 0
    machine: float = 0.0
    verdict: str = ""

    @property
    def person(self) -> float:
        """Without the pauses that the script itself makes, which stand for a person's eyes."""
        minds = self.questions + 1
        return POINT * self.taps + KEY * self.keys + MIND * minds + self.machine


def main() -> int:
    with running_demo_house() as (port, folder), chromium() as browser:
        checks = oftenest(folder / "demo.sqlite3")
        tab = phone_with_round(browser, f"http://localhost:{port}")
        tab.add_init_script(COUNT)
        take_along(tab)
        for check in checks:
            carry_out(tab, check)
    report(checks)
    return 0


def oftenest(database: Path) -> list[Check]:
    """And one open task of each is planned for today, so that it is on the round."""
    with closing(sqlite3.connect(database)) as connection:
        rows = connection.execute(OFTENEST, (OUTSIDE, CHECKS)).fetchall()
        for *_, task in rows:
            connection.execute(
                "UPDATE inspections_task SET planned_on = date('now'), person_id = NULL "
                "WHERE id = ?",
                (task,),
            )
        connection.commit()
    return [Check(title, times, task) for _, title, times, task in rows]


def carry_out(tab: Any, check: Check) -> None:
    """From My round to the receipt."""
    tab.goto(ROUND)
    card = tab.locator(f'form[data-kept-page$="/kept/{check.task}/"]')
    tab.evaluate("sessionStorage.removeItem('counted')")
    tab.reload()
    card.wait_for()
    began, waited = time.perf_counter(), 0.0
    card.get_by_role("button").tap()
    tab.wait_for_url(f"**/kept/{check.task}/")
    questions = tab.locator(".question")
    tab.locator(".in-steps .question:not([hidden])").wait_for()
    check.questions = questions.count()
    for place in range(check.questions):
        check.photographs += answer(tab)
        tab.wait_for_timeout(PAUSE)
        waited += PAUSE / 1000
        go_on(tab, place, check.questions)
    if tab.locator(".attention .choices button").count():
        check.questions += 1
        tab.locator(".attention .choices button").first.tap()
    check.verdict = verdicts_of(tab)
    tab.get_by_role("button", name="Save this check").tap()
    tab.get_by_text("Sent: it stands in the book.").wait_for()
    check.machine = time.perf_counter() - began - waited
    counted = tab.evaluate("globalThis.counted")
    check.taps = counted["taps"] + IN_THE_CAMERA * check.photographs
    check.keys = counted["keys"]


def go_on(tab: Any, place: int, questions: int) -> None:
    """A page that holds one back until the verdict was read wants a second tap, which counts."""
    last = place == questions - 1
    there = tab.locator(".check-review") if last else tab.get_by_text(f"Question {place + 2} of")
    for _ in range(3):
        tab.get_by_role("button", name="Look it over" if last else "Next", exact=True).tap()
        with suppress(NotYet):
            there.wait_for(timeout=4000)
            return
    raise RuntimeError(f"The page stays at question {place + 1}.")


def answer(tab: Any) -> int:
    """Fill what is open, one thing after the other; how many photographs that took."""
    photographs = 0
    while found := tab.evaluate(FIRST_OPEN):
        name, kind, value = found
        field = tab.locator(f'.question:not([hidden]) [name="{name}"]')
        if kind in ("radio", "checkbox"):
            choose(tab, name, value)
        elif kind == "file":
            field.set_input_files([PHOTOGRAPH])
            tab.wait_for_timeout(PAUSE)
            photographs += 1
        else:
            type_in(tab, field, name.split(":")[-1])
    return photographs


def choose(tab: Any, name: str, value: str) -> None:
    tab.locator(f'label:has(input[name="{name}"][value="{value}"])').tap()


def type_in(tab: Any, field: Any, name: str) -> None:
    """A figure by the keys of the page, a text by the keyboard of the phone."""
    text = GOOD.get(name, "0")
    pad = tab.locator(".question:not([hidden]) .keypad:visible")
    if field.get_attribute("data-keypad") is None:
        field.tap()
        field.press_sequentially(text)
        return
    if not field.evaluate(AT_THE_PAD):
        field.tap()
    for figure in text:
        pad.locator(f'[data-key="{figure}"]').tap()


def verdicts_of(tab: Any) -> str:
    states = tab.locator(".check-review .verdict").evaluate_all(
        "(all) => all.map((each) => each.dataset.state ?? '')"
    )
    return ", ".join(sorted(set(filter(None, states)))) or "not judged"


def report(checks: list[Check]) -> None:
    print(
        "How often in 15 months, questions, taps, keys, photographs, seconds of machine and person"
    )
    print(
        f"{'':52}{'often':>6}{'quest':>6}{'taps':>6}{'keys':>6}{'photo':>6}{'mach.':>7}{'pers.':>7}"
    )
    for each in checks:
        numbers = (each.times, each.questions, each.taps, each.keys, each.photographs)
        columns = "".join(f"{number:6}" for number in numbers)
        print(f"{each.title[:51]:52}{columns}{each.machine:7.1f}{each.person:7.1f}")
        print(f"    the phone says: {each.verdict}")


if __name__ == "__main__":
    sys.exit(main())
