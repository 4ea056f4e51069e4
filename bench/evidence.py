"""`python -m bench.evidence [LINES [TURNS]]`: a log of a million lines verified, as a ratio to hashing alone.

A log is written straight into a database of its own (the lines as Loftbook writes them, about 270
bytes each). Then, each in a process of its own so that its peak memory is its own:

- hashing alone: SHA-256 over each line's text once it is in memory;
- reading and hashing: the same over the texts as the database gives them;
- the root: the walk that proofs use, from the stored texts;
- the nightly check: root, order, every line's columns, signed heads, records.

Time is the process's own CPU time, the least of some turns, so that other work on the machine
counts little. The last line is JSON.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from hashlib import sha256
from itertools import islice
from pathlib import Path
from typing import Any

LINES = 1_000_000
TURNS = 3
GOAL, MEMORY = 0.25, 200


def main(lines: int) -> int:
    with tempfile.TemporaryDirectory(prefix="loftbook-bench-") as folder:
        known = environment(folder)
        turns = int(sys.argv[2]) if len(sys.argv) > 2 else TURNS
        run_part("bench.evidence", known, "make", lines, turns)
        told = {name: run_part("bench.evidence", known, name, lines, turns) for name in PARTS}
    alone = told["hashing alone"]["seconds"]
    for name, part in told.items():
        part["ratio"] = round(alone / part["seconds"], 3)
        print(f"{name:20} {part['seconds']:7.2f} s  {lines / part['seconds']:9,.0f} lines/s  "
              f"{part['ratio']:5.2f} x hashing alone  {part['peak_mb']:4d} MB")  # fmt: skip
    print(json.dumps({"lines": lines, "goal_ratio": GOAL, "goal_mb": MEMORY, **told}))
    checked = told["nightly check"]
    return int(told["root"]["ratio"] < GOAL or checked["peak_mb"] >= MEMORY)


def environment(folder: str) -> dict[str, str]:
    """A house of its own, in a folder that is gone afterwards."""
    (Path(folder) / "files").mkdir()
    return os.environ | {
        "DATABASE_URL": f"sqlite:///{folder}/bench.sqlite3",
        "LOFTBOOK_SECRET_KEY": "only-for-the-bench-" * 4, "LOFTBOOK_ADDRESS": "http://localhost",
        "LOFTBOOK_FILES": f"{folder}/files", "LOFTBOOK_KEYS": f"{folder}/keys",
        "LOFTBOOK_LOG_LEVEL": "WARNING", "DJANGO_SETTINGS_MODULE": "config.settings",
    }  # fmt: skip


def run_part(module: str, environ: dict[str, str], name: str, *numbers: int) -> Any:
    """One part of a bench in a process of its own; what it says in its last line."""
    command = [sys.executable, "-m", module, "--part", name, *map(str, numbers)]
    done = subprocess.run(command, env=environ, check=True, stdout=subprocess.PIPE, text=True)
    return json.loads(done.stdout.splitlines()[-1])


def part(name: str, lines: int, turns: int) -> dict[str, Any]:
    import django

    django.setup()
    if name == "make":
        make(lines)
        return {}
    work = PARTS[name]()
    least = min(_timed(work) for _ in range(turns))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return {"seconds": round(least, 3), "peak_mb": peak}


def _timed(work: Callable[[], float | None]) -> float:
    began = time.process_time()
    spent = work()
    return time.process_time() - began if spent is None else spent


def make(lines: int) -> None:
    """The log of one venue, its head and one signed head, without a transaction for each line."""
    from django.core.management import call_command
    from django.db import connection, transaction
    from django.utils import timezone

    from inspections.actions.sign_head import sign_head
    from inspections.actions.venue_seal import venue_seal
    from venue.merkle import Frontier
    from venue.models import LogHead, Organisation, Venue

    call_command("migrate", verbosity=0)
    now, tree = timezone.now(), Frontier()
    trust = Organisation.objects.create(slug="larkspur-trust", name="Larkspur Trust")
    venue = Venue.objects.create(organisation=trust, slug="larkspur", name="The Larkspur")
    with transaction.atomic(), connection.cursor() as cursor:
        for start in range(1, lines + 1, 5000):
            rows = [_row(number, now) for number in range(start, min(start + 5000, lines + 1))]
            tree.add_all(bytes.fromhex(row[-1]) for row in rows)
            cursor.executemany(INSERT.format(venue=venue.pk), rows)
        LogHead.objects.create(
            venue=venue, size=tree.size, root=tree.root().hex(), frontier=tree.hex()
        )
    sign_head(venue=venue, seal=venue_seal(venue, now), at=now)


INSERT = """insert into venue_logline
    (venue_id, at, by_name, did, number, subject, label, body, sha256)
    values ({venue}, %s, 'Tam Achterberg', 'plan_task', %s, %s, %s, %s, %s)"""


def _row(number: int, now: Any) -> tuple[Any, ...]:
    from venue.log_hash import canonical
    from venue.merkle import leaf_hash

    subject, label = f"inspections.task {number}", f"CW-{number % 40:02} Counterweight set: monthly"
    body = canonical(
        {
            "number": number, "at": now.isoformat(), "by": "Tam Achterberg", "did": "plan_task",
            "subject": subject, "label": label, "before": {"planned_on": "2026-02-10"},
            "after": {"planned_on": "2026-02-12", "why": "The set was up"},
        }
    )  # fmt: skip
    stored = now.isoformat(" ").removesuffix("+00:00")  # as Django keeps a time in SQLite
    return stored, number, subject, label, body, leaf_hash(body.encode()).hex()


def _bodies() -> Iterator[bytes]:
    from venue.models import LogLine

    rows = LogLine.objects.order_by("venue", "number").values_list("body", flat=True)
    for body in rows.iterator(chunk_size=1000):
        yield body.encode()


def hashing_alone() -> Callable[[], float]:
    """Of every line once; the reading of each block is not counted."""

    def work() -> float:
        walk, spent = _bodies(), 0.0
        while block := list(islice(walk, 20_000)):
            began = time.process_time()
            for body in block:
                sha256(body).digest()
            spent += time.process_time() - began
        return spent

    return work


def reading_and_hashing() -> Callable[[], None]:
    def work() -> None:
        for body in _bodies():
            sha256(body).digest()

    return work


def root() -> Callable[[], None]:
    from venue.models import LogHead
    from venue.queries.log_proofs import root_at

    head = LogHead.objects.select_related("venue").get()

    def work() -> None:
        assert root_at(head.venue, head.size) == head.root

    return work


def nightly_check() -> Callable[[], None]:
    from inspections.queries.log_check import check_log
    from venue.models import Venue

    venue = Venue.objects.get()

    def work() -> None:
        found = check_log(venue)
        assert (found.faults, found.heads) == ([], 1), found.faults

    return work


PARTS: dict[str, Callable[[], Callable[[], float | None]]] = {
    "hashing alone": hashing_alone,
    "reading and hashing": reading_and_hashing,
    "root": root,
    "nightly check": nightly_check,
}

if __name__ == "__main__":
    if sys.argv[1:2] == ["--part"]:
        print(json.dumps(part(sys.argv[2], *map(int, sys.argv[3:]))))
    else:
        sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else LINES))
