"""Puts the browser that is measured ahead of the machine's other programs, where that is allowed
(Linux, as root). How fast the processor is stays as it is; only the waiting for it goes."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

PROCESSES = Path("/proc")


def put_ahead(program: str) -> bool:
    """Every thread of those of our children that run this program; whether it was done."""
    try:
        for process in _descendants(os.getpid()):
            if program in (PROCESSES / str(process) / "cmdline").read_text():
                _ahead(process)
    except (OSError, AttributeError):
        return False
    return True


def _ahead(process: int) -> None:
    for thread in (PROCESSES / str(process) / "task").iterdir():
        with suppress(ProcessLookupError):
            os.sched_setscheduler(int(thread.name), os.SCHED_RR, os.sched_param(1))


def _descendants(process: int) -> list[int]:
    parents = {}
    for status in PROCESSES.glob("[0-9]*/stat"):
        with suppress(OSError):
            parents[int(status.parent.name)] = int(status.read_text().rpartition(")")[2].split()[1])
    found = [process]
    for above in found:
        found += [child for child, parent in parents.items() if parent == above]
    return found[1:]
