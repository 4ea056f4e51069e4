"""The check page and its submit against a bare Django page and a bare form post.

All four are served by the same web server from the same SQLite database to the same
signed-in person through the same middleware. They take turns, so that whatever else the
machine does falls on each alike. The figures are our own output, of one machine and one run.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from statistics import median

from bench.demo_house import running_demo_house
from bench.visitor import UnexpectedAnswer, Visitor
from inspections.demo.scenario import PASSWORD

EMAIL = "tam@larkspur.example"
TAG, REGIME = "W1", "winch_ropes_monthly"
WARM_UP, ROUNDS = 8, 40
GOAL = 2.0
ROPE = {
    "dia_1_a": "6.14 mm", "dia_1_b": "6.14 mm", "instrument": "Caliper 2", "broken_lay": "0",
    "broken_strand_count": "0", "broken_valley": "0", "broken_end": "0", "looked": "yes",
}  # fmt: skip


def main() -> int:
    """Measure and print. A missed goal is said and is no failure of the run."""
    with running_demo_house() as (port, folder):
        bench = Bench(Visitor(port, EMAIL, PASSWORD), folder / "demo.sqlite3")
        bench.prepare()
        for _ in range(WARM_UP):
            bench.one_round()
        bench.times.clear()
        for _ in range(ROUNDS):
            bench.one_round()
    report(bench.times, bench.questions, bench.rows)
    return 0


class Bench:
    """One visitor, one check filled and sent again and again, and the times taken."""

    def __init__(self, visitor: Visitor, database: Path) -> None:
        self.visitor = visitor
        self.database = database
        self.times: dict[str, list[float]] = {}
        self.questions = 0
        self.rows = 0
        self.start_address = ""

    def prepare(self) -> None:
        """Count the questions of the check and the rows its submit adds; fill the bare page."""
        tag_page = self.visitor.get(f"/v/larkspur/t/{TAG}/").text
        found = re.search(r"/v/larkspur/equipment/(\d+)/", tag_page)
        if found is None:
            raise UnexpectedAnswer(f"The tag page of {TAG} names no equipment.")
        self.start_address = f"{found[0]}checks/"
        check = self.start()
        self.questions = len(keys_of(self.visitor.get(check).text))
        self.fill(check)
        before = rows_in(self.database)
        self.send(check)
        self.rows = rows_in(self.database) - before
        shown = {"sheet": "0", "remark": "Is the rope free of dirt and dry?"}
        self.visitor.post(f"/bare/{self.questions}/post/", shown)

    def start(self) -> str:
        return self.visitor.post(self.start_address, {"regime": REGIME}).location

    def fill(self, check: str) -> None:
        page = self.visitor.get(check).text
        reply = self.visitor.post(check, answers_for(page))
        if not reply.location.endswith("/review/"):
            raise UnexpectedAnswer(f"The filled check led to {reply.location}, not to its review.")

    def send(self, check: str) -> float:
        reply = self.visitor.post(f"{check}submit/", {"remark": "Looked at in daylight"})
        if "/records/" not in reply.location:
            raise UnexpectedAnswer(f"The submit led to {reply.location}, not to a record.")
        return reply.milliseconds

    def one_round(self) -> None:
        visitor, rows = self.visitor, self.rows
        check = self.start()
        self.note("bare page", visitor.get(f"/bare/{self.questions}/").milliseconds)
        self.note("check page, empty", visitor.get(check).milliseconds)
        self.fill(check)
        self.note("bare page", visitor.get(f"/bare/{self.questions}/").milliseconds)
        self.note("check page, filled", visitor.get(check).milliseconds)
        posted = {"remark": "Looked at in daylight"}
        self.note("bare form post", visitor.post(f"/bare/{rows}/post/", posted).milliseconds)
        self.note("submit of the check", self.send(check))

    def note(self, what: str, milliseconds: float) -> None:
        self.times.setdefault(what, []).append(milliseconds)


def keys_of(page: str) -> list[str]:
    """The questions of a check page, in its order."""
    return re.findall(r'data-question="([^"]+)"', page)


def answers_for(page: str) -> dict[str, str]:
    """Every rope sound and measured, everything else in order."""
    posted: dict[str, str] = {}
    for key in keys_of(page):
        typed = ROPE if f'name="{key}:dia_1_a"' in page else {"given": "yes"}
        posted |= {f"{key}:{name}": value for name, value in typed.items()}
    return posted


def rows_in(database: Path) -> int:
    """All rows of all tables."""
    with closing(sqlite3.connect(database)) as connection:
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        tables = [name for (name,) in names.fetchall()]
        counts = [connection.execute(f'SELECT count(*) FROM "{name}"') for name in tables]
        return sum(count.fetchone()[0] for count in counts)


def report(times: Mapping[str, list[float]], questions: int, rows: int) -> None:
    """Medians, spread, ratios, and whether the goal was met."""
    print(f"{ROUNDS} rounds after {WARM_UP} to warm up; {questions} questions on the page,")
    print(f"{rows} rows added by the submit. Milliseconds at the visitor, one at a time.\n")
    print(f"{'':22}{'median':>9}{'fastest':>9}{'slowest':>9}")
    for what, taken in times.items():
        print(f"{what:22}{median(taken):9.2f}{min(taken):9.2f}{max(taken):9.2f}")
    print()
    compare(times, "check page, empty", "bare page")
    compare(times, "check page, filled", "bare page")
    compare(times, "submit of the check", "bare form post")


def compare(times: Mapping[str, list[float]], ours: str, bare: str) -> None:
    ratio = median(times[ours]) / median(times[bare])
    outcome = "met" if ratio <= GOAL else "MISSED"
    print(f"{ours} / {bare}: {ratio:.2f} (goal at most {GOAL:g}: {outcome})")
