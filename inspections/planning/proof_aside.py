"""The proof in a process of its own, so that the search keeps its core. Needs OR-Tools.

`python -m inspections.planning.proof_aside` reads a house from its parent and writes what is
proven so far until its time is over, and the rows that proved it, for the search to use. A thread
would not do: the solvers of linear programs keep the interpreter to themselves while they work.
"""

from __future__ import annotations

import os
import pickle  # nosec B403 - what a process hands to its own child
import subprocess  # nosec B404 - the same program once more
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue
from threading import Thread

from inspections.planning.bound_by_parts import (
    CouldUseMore,
    FoundRows,
    Hearing,
    Likely,
    bound_by_parts,
)
from inspections.planning.capacity import Capacity
from inspections.planning.groups import groups_of
from inspections.planning.house import House
from inspections.planning.late_alone import late_alone
from inspections.planning.model import Tag
from inspections.planning.outcome import COST, LATE
from inspections.planning.same_rows import Numbers, rewritten
from inspections.planning.window_cuts import Cut

ROOT = Path(__file__).resolve().parent.parent.parent
GRACE = 2.0
"""What is relaxed cannot be stopped at any moment; seconds after which it is ended."""
ALL_CORES = 2


@dataclass(frozen=True)
class Asked:
    """Of plans no later than this, with so many agreed tasks moved: what they cost at least."""

    house: House
    late: int
    moved: int
    seconds: float


class ProofAside:
    """A proof that goes on beside the search."""

    def __init__(self, asked: Asked, hear: Callable[[int], None]) -> None:
        self.proven = {LATE: 0, COST: 0}
        self.likely: dict[tuple[Tag, int], float] = {}
        self.could_use_more = False
        self._rows: SimpleQueue[FoundRows] = SimpleQueue()
        self._hear, self._end = hear, time.monotonic() + asked.seconds + GRACE
        self._child = subprocess.Popen(  # nosec B603 - no shell, no argument from outside
            [sys.executable, "-m", "inspections.planning.proof_aside"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=ROOT,
        )
        self._reader = Thread(target=self._read, daemon=True)
        self._reader.start()
        try:
            self._ask(asked)
        except BaseException:
            self.stop()
            raise

    def _ask(self, asked: Asked) -> None:
        self._tell(asked)

    def take_all_cores(self) -> None:
        """The search is over: its core is free."""
        self._tell(ALL_CORES)

    def _tell(self, said: object) -> None:
        if self._child.stdin:
            with suppress(BrokenPipeError):
                pickle.dump(said, self._child.stdin)
                self._child.stdin.flush()

    def _read(self) -> None:
        with suppress(EOFError, pickle.UnpicklingError):
            while self._child.stdout:
                said = pickle.load(self._child.stdout)  # nosec B301 - from our own child
                if isinstance(said, FoundRows):
                    self._rows.put(said)
                elif isinstance(said, Likely):
                    self.likely.update(said.made)
                elif isinstance(said, CouldUseMore):
                    self.could_use_more = True
                else:
                    self.proven.update(said)
                    self._hear(self.proven[COST])

    def new_rows(self, ours: Numbers) -> list[Cut]:
        """Rows found since the last time, which hold for every plan asked about."""
        found: list[Cut] = []
        while not self._rows.empty():
            said = self._rows.get()
            found += rewritten(said.cuts, said.numbers, ours)
        return found

    def wait(self) -> dict[str, int]:
        """What was proven, when the time is over; a proof that does not end by itself is ended."""
        self._reader.join(max(0.0, self._end - time.monotonic()))
        self.stop()
        return self.proven

    def stop(self) -> None:
        """End it now: nothing that it would still prove is wanted."""
        self._child.kill()
        self._child.wait()
        # What still lies in the pipe is heard now or never: a later aim is another matter.
        self._reader.join()
        for end in (self._child.stdin, self._child.stdout):
            if end:
                with suppress(BrokenPipeError):
                    end.close()


def prove(asked: Asked, say: Callable[[object], None], cores: Callable[[], int]) -> None:
    """What no plan asked about can be below, as it becomes known."""
    began = time.monotonic()
    if asked.late:
        groups = groups_of(asked.house)
        alone = late_alone(asked.house, groups, Capacity(asked.house), asked.house.plan_of)
        say({LATE: sum(alone.values())})
    left = asked.seconds - (time.monotonic() - began)
    hear = Hearing(lambda bound: say({COST: bound}), say, say, say, cores)
    say({COST: bound_by_parts(asked.house, asked.late, asked.moved, left, hear)})


class _Parent:
    """Who asked, at the ends of two pipes."""

    def __init__(self) -> None:
        self._heard, self._cores = sys.stdin.buffer, 1
        # What a library prints must not come between what is said.
        self._said = open(os.dup(1), "wb")  # noqa: SIM115 - open until the process ends
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        self.asked: Asked = pickle.load(self._heard)  # nosec B301 - from the parent only
        Thread(target=self._listen, daemon=True).start()

    def say(self, said: object) -> None:
        pickle.dump(said, self._said)
        self._said.flush()

    def cores(self) -> int:
        return self._cores

    def _listen(self) -> None:
        with suppress(EOFError):
            self._cores = pickle.load(self._heard)  # nosec B301 - from the parent only


if __name__ == "__main__":
    parent = _Parent()
    prove(parent.asked, parent.say, parent.cores)
    # At once: the thread that listens waits for ever.
    os._exit(0)
