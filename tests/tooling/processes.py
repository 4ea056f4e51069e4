"""Starts Loftbook's own programs for a test and looks at what they leave behind."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

BASE = Path(__file__).resolve().parent.parent.parent
WAIT = 180  # a busy machine is slow, not broken
AT_ONCE = 15  # what was killed is gone as soon as the machine has its turn for it


def own_environ(folder: Path, **changes: str) -> dict[str, str]:
    """An environment with a database, files and keys of its own."""
    for name in ("files", "keys"):
        (folder / name).mkdir(exist_ok=True)
    return {
        **os.environ,
        "DATABASE_URL": f"sqlite:///{folder}/own.sqlite3",
        "LOFTBOOK_FILES": str(folder / "files"),
        "LOFTBOOK_KEYS": str(folder / "keys"),
        "LOFTBOOK_LOG_LEVEL": "INFO",
        **changes,
    }


def start(arguments: list[str], environ: dict[str, str], out: Path) -> "subprocess.Popen[bytes]":
    """Start a program of this Python, its words going to a file."""
    with out.open("wb") as words:
        return subprocess.Popen(
            [sys.executable, *arguments], cwd=BASE, env=environ, stdout=words, stderr=words
        )


def wait_for(
    question: Callable[[], Any],
    what: str,
    out: Path,
    of: "subprocess.Popen[bytes] | None" = None,
    within: float = WAIT,
) -> Any:
    """Ask until the answer is a yes; fail with the program's own words when it never is."""
    until = time.monotonic() + within
    while time.monotonic() < until and (of is None or of.poll() is None):
        answer = question()
        if answer:
            return answer
        time.sleep(0.1)
    said = out.read_text(errors="replace")[-3000:]
    raise AssertionError(f"no {what}, waiting up to {within} s:\n{said}")


def processes_of(parent: int) -> list[tuple[int, int]]:
    """Every living descendant of a process, with its process group."""
    found: list[tuple[int, int]] = []
    rows = [line for stat in Path("/proc").glob("[0-9]*/stat") if (line := read(stat))]
    for row in rows:
        pid, state, its_parent, group = row
        if its_parent == parent and state != "Z":
            found += [(pid, group), *processes_of(pid)]
    return found


def send_to(pids: Iterable[int], number: signal.Signals) -> None:
    """To each that is still there: one may go because another of them went."""
    for pid in pids:
        with suppress(ProcessLookupError):
            os.kill(pid, number)


def read(stat: Path) -> tuple[int, str, int, int] | None:
    """The number, state, parent and group of one process, unless it has just gone."""
    try:
        text = stat.read_text()
    except (FileNotFoundError, ProcessLookupError):
        return None
    before, after = text.split(" (", 1)
    state, parent, group = after.rpartition(") ")[2].split()[:3]
    return int(before), state, int(parent), int(group)


def is_alive(pid: int) -> bool:
    """Whether a process is there and not merely waiting to be noticed as dead."""
    row = read(Path(f"/proc/{pid}/stat"))
    return row is not None and row[1] != "Z"
