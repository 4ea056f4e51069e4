"""The check page and its submit against a bare Django page and a bare form post.

All are served by the same web server from the same SQLite database to the same signed-in person
through the same middleware. The bare page shows the same fields, one query and one simple template.
The bare form post does what no form post of these rows can leave out: it finds what the visitor
kept so far, reads its one posted field with a form, stores the same rows, marks the kept form as
sent and writes the log's line under the locked head. Its tables are its own, with the same columns,
keys, constraints and indexes: without them the rows would not be the same. One statement a table;
it judges nothing, checks nothing, hashes nothing, asks no other table; what it stores is in memory
(`bench/views.py`).

They take turns, so that whatever else the machine does falls on each alike. Every round measures
other diameters, so that no verdict is known before its check is filled; once it is filled the web
process that judged it knows it. The visitor keeps one connection and so one process; a submit that
reaches another one is judged anew, and that is not timed here. A page with nothing but one short
line a question is timed too, for whoever wants to know how much of the page is its many fields.

The figures are our own output, of one machine and one run.
"""

from __future__ import annotations

import re
import sqlite3
import sys
from collections.abc import Iterable, Mapping
from contextlib import closing
from decimal import Decimal
from itertools import count
from pathlib import Path
from statistics import median

from bench.demo_house import running_demo_house
from bench.fields import Field, fields_of
from bench.visitor import UnexpectedAnswer, Visitor
from inspections.demo.scenario import PASSWORD

EMAIL = "tam@larkspur.example"
TAG, REGIME = "W1", "winch_ropes_monthly"
WARM_UP, ROUNDS = 8, 40
GOAL = 2.0
SAME_FIELDS, LINES = 1, 2  # the two bare forms
ROPE = {
    "instrument": "Caliper 2", "broken_lay": "0", "broken_strand_count": "0",
    "broken_valley": "0", "broken_end": "0", "looked": "yes",
}  # fmt: skip
# Every one is a sound rope, and no two are alike.
THINNEST, STEP = Decimal("6.1400"), Decimal("0.0001")


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
    report(bench)
    return 0


class Bench:
    """One visitor, one check filled and sent again and again, and the times taken."""

    def __init__(self, visitor: Visitor, database: Path) -> None:
        self.visitor = visitor
        self.database = database
        self.times: dict[str, list[float]] = {}
        self.questions = self.fields = self.rows = 0
        self.start_address = self.bare_post = ""
        self.ropes = count()

    def prepare(self) -> None:
        """Count the fields of the check and the rows its submit adds; make the bare forms alike."""
        tag_page = self.visitor.get(f"/v/larkspur/t/{TAG}/").text
        found = re.search(r"/v/larkspur/equipment/(\d+)/", tag_page)
        if found is None:
            raise UnexpectedAnswer(f"The tag page of {TAG} names no equipment.")
        self.start_address = f"{found[0]}checks/"
        check = self.start()
        page = self.visitor.get(check).text
        fields, keys = fields_of(page), keys_of(page)
        self.fields, self.questions = len(fields), len(keys)
        lines = [Field("Is the rope free of dirt and dry?", "text", key, "") for key in keys]
        keep_form(self.database, SAME_FIELDS, fields)
        keep_form(self.database, LINES, lines)
        self.fill(check)
        before = rows_in(self.database)
        self.send(check)
        self.rows = rows_in(self.database) - before
        record = check.split("/")[-2]
        self.visitor.post(f"/bare/{record}/start/", {})
        self.bare_post = f"/bare/{record}/post/"
        self.compare_rows()

    def compare_rows(self) -> None:
        """The bare form post has to store as many rows, or it is no measure of the submit."""
        before = rows_in(self.database)
        self.visitor.post(self.bare_post, {})
        added = rows_in(self.database) - before
        if added != self.rows:
            raise UnexpectedAnswer(f"The bare post stored {added} rows, the submit {self.rows}.")

    def start(self) -> str:
        return self.visitor.post(self.start_address, {"regime": REGIME}).location

    def fill(self, check: str) -> None:
        reply = self.visitor.post(check, self.answers_for(self.visitor.get(check).text))
        if not reply.location.endswith("/review/"):
            raise UnexpectedAnswer(f"The filled check led to {reply.location}, not to its review.")

    def answers_for(self, page: str) -> dict[str, str]:
        """Every rope sound and measured, everything else in order."""
        posted: dict[str, str] = {}
        for key in keys_of(page):
            typed = self.sound_rope() if f'name="{key}:dia_1_a"' in page else {"given": "yes"}
            posted |= {f"{key}:{name}": value for name, value in typed.items()}
        return posted

    def sound_rope(self) -> dict[str, str]:
        diameter = f"{THINNEST + next(self.ropes) * STEP} mm"
        return {"dia_1_a": diameter, "dia_1_b": diameter, **ROPE}

    def send(self, check: str) -> float:
        reply = self.visitor.post(f"{check}submit/", {"remark": "Looked at in daylight"})
        if "/records/" not in reply.location:
            raise UnexpectedAnswer(f"The submit led to {reply.location}, not to a record.")
        return reply.milliseconds

    def one_round(self) -> None:
        visitor = self.visitor
        check = self.start()
        self.note("one line a question", visitor.get(f"/bare/{LINES}/").milliseconds)
        self.note("bare page", visitor.get(f"/bare/{SAME_FIELDS}/").milliseconds)
        self.note("check page, empty", visitor.get(check).milliseconds)
        self.fill(check)
        self.note("bare page", visitor.get(f"/bare/{SAME_FIELDS}/").milliseconds)
        self.note("check page, filled", visitor.get(check).milliseconds)
        posted = {"remark": "Looked at in daylight"}
        self.note("bare form post", visitor.post(self.bare_post, posted).milliseconds)
        self.note("submit of the check", self.send(check))

    def note(self, what: str, milliseconds: float) -> None:
        self.times.setdefault(what, []).append(milliseconds)


def keys_of(page: str) -> list[str]:
    """The questions of a check page, in its order."""
    return re.findall(r'data-question="([^"]+)"', page)


def keep_form(database: Path, sheet: int, fields: Iterable[Field]) -> None:
    """The rows of a bare form."""
    insert = "INSERT INTO bench_barefield (sheet, label, kind, name, value) VALUES (?, ?, ?, ?, ?)"
    with closing(sqlite3.connect(database)) as connection, connection:
        connection.executemany(insert, [(sheet, *field) for field in fields])


def rows_in(database: Path) -> int:
    """All rows of all tables; the database's own notes are none."""
    with closing(sqlite3.connect(database)) as connection:
        names = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
        )
        tables = [name for (name,) in names.fetchall()]
        counts = [connection.execute(f'SELECT count(*) FROM "{name}"') for name in tables]
        return sum(count.fetchone()[0] for count in counts)


def report(bench: Bench) -> None:
    """Medians, spread, ratios, and whether the goal was met."""
    times = bench.times
    print(f"{ROUNDS} rounds after {WARM_UP} to warm up. The page: {bench.questions} questions,")
    print(f"{bench.fields} fields; the submit: {bench.rows} rows, and as many in the bare post.")
    print("Milliseconds at the visitor, one at a time.\n")
    print(f"{'':22}{'median':>9}{'fastest':>9}{'slowest':>9}")
    for what, taken in times.items():
        print(f"{what:22}{median(taken):9.2f}{min(taken):9.2f}{max(taken):9.2f}")
    print()
    compare(times, "check page, empty", "bare page")
    compare(times, "check page, filled", "bare page")
    compare(times, "submit of the check", "bare form post")
    lean = median(times["check page, empty"]) / median(times["one line a question"])
    print(f"check page, empty / one line a question: {lean:.2f} (no goal)")


def compare(times: Mapping[str, list[float]], ours: str, bare: str) -> None:
    ratio = median(times[ours]) / median(times[bare])
    outcome = "met" if ratio <= GOAL else "MISSED"
    print(f"{ours} / {bare}: {ratio:.2f} (goal at most {GOAL:g}: {outcome})")


if __name__ == "__main__":
    sys.exit(main())
