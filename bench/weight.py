"""`python -m bench.weight`: what each main page weighs on the line, and how soon it answers a hand.

The demo house stands behind the server that `make run` starts, with collected files, and every page
is opened in a real Chromium that has nothing but a session. The first load is every byte the browser
received, headers included, as it counted them (Network.loadingFinished); scripts are counted by
themselves. Then the same page is opened again in the same browser, which asks only for what it may
not keep. The service worker is kept out: what it fetches for later is measured by `bench.phone`.

An interaction is a real key or a real tap on a page whose processor is slowed down four times
(Emulation.setCPUThrottlingRate): the browser's own Event Timing tells how long it took from the hand
to the next painted picture, in steps of 8 ms. The median of five stands in the table.

Bytes are the same on every machine; times are not, so the machine and what else it does are printed.
The figures are our own output, of one machine and one run.
"""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass
from os import cpu_count, getloadavg
from pathlib import Path
from statistics import median
from typing import Any

from bench.ahead import put_ahead
from bench.demo_house import running_demo_house
from bench.every_page import sign_in
from bench.pocket import chromium

FIRST, REPEAT, SCRIPT, ANSWER = 150_000, 15_000, 40_000, 100.0
SLOWER, TIMES = 4, 5
PATIENCE = 300_000  # ms until a page is given up; it is no part of what is measured
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1440, "height": 900}
MANAGER = "odile@larkspur.example"
MENU, TYPED = "tap: .nav summary", "key: #find-all"
# Name, address, screen, and what a hand does there.
PAGES = (
    ("Tonight", "/v/larkspur/", DESK, TYPED),
    ("Tonight, phone", "/v/larkspur/", PHONE, MENU),
    ("My round, phone", "/v/larkspur/round/", PHONE, MENU),
    ("A check, phone", "", PHONE, "tap: .question:not([hidden]) .choice"),
    ("Tag, phone", "/v/larkspur/t/W1/", PHONE, MENU),
    ("Equipment", "/v/larkspur/equipment/", DESK, "walk: table[data-rows] tbody th a"),
    ("Ropes", "/v/larkspur/ropes/", DESK, "walk: table[data-rows] tbody th a"),
    ("Tasks", "/v/larkspur/tasks/", DESK, "walk: table[data-rows] tbody th a"),
    ("Tasks of 15 months", "/v/larkspur/tasks/?show=460", DESK, "walk: table[data-rows] tbody th a"),
    ("Findings", "/v/larkspur/findings/", DESK, TYPED),
    ("Reports", "/v/larkspur/reports/", DESK, TYPED),
    ("Year board", "board", DESK, TYPED),
    ("Calculator", "/v/larkspur/calculators/fleet-angle/", DESK, TYPED),
    ("Evidence", "/v/larkspur/evidence/", DESK, TYPED),
    ("House", "/v/larkspur/house/", DESK, TYPED),
)  # fmt: skip
TIMED = """
globalThis.took = [];
new PerformanceObserver((list) => globalThis.took.push(...list.getEntries().map((each) => [each.name, each.duration])))
    .observe({ type: "event", durationThreshold: 16, buffered: true });
"""
ANSWERED = "() => new Promise((done) => setTimeout(() => done(globalThis.took.map(([, took]) => took)), 400))"


@dataclass
class Weighed:
    name: str
    first: int = 0
    repeat: int = 0
    script: int = 0
    later: int = 0
    answer: float = 0.0


class Wire:
    """What a tab receives, by kind, counted by the browser."""

    def __init__(self, tab: Any) -> None:
        self.session = tab.context.new_cdp_session(tab)
        self.kinds: dict[str, str] = {}
        self.bytes: dict[str, int] = {}
        self.session.send("Network.enable")
        self.session.on("Network.responseReceived", self._is)
        self.session.on("Network.loadingFinished", self._ended)

    def _is(self, told: dict[str, Any]) -> None:
        self.kinds[told["requestId"]] = told["type"]

    def _ended(self, told: dict[str, Any]) -> None:
        kind = self.kinds.get(told["requestId"], "Other")
        self.bytes[kind] = self.bytes.get(kind, 0) + int(told["encodedDataLength"])

    def of(self, tab: Any, page: str) -> dict[str, int]:
        self.bytes = {}
        answer = tab.goto(page)
        if answer is None or answer.status != 200:
            raise RuntimeError(f"The page {page} did not open.")
        tab.wait_for_load_state("networkidle")
        return dict(self.bytes)


def main() -> int:
    with running_demo_house() as (port, _), chromium() as browser:
        address = f"http://localhost:{port}"
        first = browser.new_context(base_url=address, service_workers="block")
        first.set_default_timeout(PATIENCE)
        tab = first.new_page()
        sign_in(tab, MANAGER)
        session = first.storage_state()
        weighed = [weigh(browser, address, session, *page) for page in addressed(tab)]
    report(weighed)
    return 0


def addressed(tab: Any) -> list[tuple[str, str, dict[str, int], str]]:
    """The check is begun anew, the board is the newest that the year pages lead to."""
    tab.goto("/v/larkspur/t/W1/")
    tab.locator('form[action*="/check"] button').first.click()
    tab.wait_for_url("**/checks/*/")
    check = re.sub(r"^https?://[^/]+", "", tab.url)
    board = the_board(tab)
    known = {"": check, "board": board}
    return [(name, known.get(page, page), *more) for name, page, *more in PAGES if known.get(page, page)]  # fmt: skip


def the_board(tab: Any) -> str:
    tab.goto("/v/larkspur/year/")
    plans = tab.locator("main a").evaluate_all("(all) => all.map((each) => each.pathname)")
    found = next((each for each in plans if re.fullmatch(r"/v/larkspur/year/\d+/", each)), "")
    return f"{found}board/" if found else ""


def weigh(
    browser: Any, address: str, session: Any, name: str, page: str, screen: dict[str, int], hand: str
) -> Weighed:  # fmt: skip
    context = browser.new_context(
        base_url=address, viewport=screen, storage_state=session, service_workers="block",
        has_touch=screen is PHONE,
    )  # fmt: skip
    context.set_default_timeout(PATIENCE)
    tab = context.new_page()
    wire = Wire(tab)
    first = wire.of(tab, page)
    tab.goto("about:blank")
    repeat = wire.of(tab, page)
    put_ahead("chromium")
    took = [answer_of(tab, wire.session, page, hand) for _ in range(TIMES)]
    context.close()
    later = repeat.pop("Fetch", 0)
    first.pop("Fetch", 0)
    return Weighed(
        name, sum(first.values()), sum(repeat.values()), first.get("Script", 0), later, median(took)
    )


def answer_of(tab: Any, session: Any, page: str, hand: str) -> float:
    """Milliseconds from the hand to the next picture, with the processor four times slower; what is
    shorter than the browser tells apart counts as the least it tells, 16."""
    tab.goto(page)
    tab.wait_for_load_state("networkidle")
    deed, _, target = hand.partition(": ")
    found = tab.locator(target).first
    if deed != "tap":
        found.focus()
    tab.evaluate(f"() => {{ {TIMED} }}")
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    if deed == "tap":
        found.click()
    else:
        tab.keyboard.press("ArrowDown" if deed == "walk" else "k")
    took = tab.evaluate(ANSWERED)
    session.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    return max(took, default=16.0)


def report(weighed: list[Weighed]) -> None:
    print(f"{'':22}{'first load':>12}{'repeat':>10}{'script':>10}{'answer':>10}{'later':>12}")
    print(f"{'goal, at most':22}{FIRST:12,}{REPEAT:10,}{SCRIPT:10,}{ANSWER:7.0f} ms")
    for each in weighed:
        goals = (FIRST, REPEAT, SCRIPT, ANSWER)
        figures = (each.first, each.repeat, each.script, each.answer)
        missed = [figure > goal for figure, goal in zip(figures, goals, strict=True)]
        row = f"{each.name:22}{each.first:12,}{each.repeat:10,}{each.script:10,}{each.answer:7.0f} ms{each.later:12,}"
        print(row, "MISSED" if any(missed) else "met")
    print(
        f"\n{getloadavg()[0]:.1f} programs wanted the machine's {cpu_count()} processors; {processor()}"
    )


def processor() -> str:
    told = Path("/proc/cpuinfo")
    found = re.search(r"model name\s*: (.+)", told.read_text()) if told.exists() else None
    return found[1] if found else "processor not known"


if __name__ == "__main__":
    sys.exit(main())
