"""`python -m tests.second_engine [N] [SEED] [PROCESSES]`: N observations per rule set, by both
engines, and the shared file of vectors.

Each finished rule set is a line on stderr. A run that was stopped goes on where it was (`kept`).
The last line counts; the exit code is 1 where one differs.
"""

from __future__ import annotations

import json
import sys
import time
from collections import Counter
from collections.abc import Iterator
from multiprocessing import Pool

from tests.second_engine.comparing import TOLD, Tally, Vector, compared, shared_vectors
from tests.second_engine.kept import hash_of, keep, kept
from tests.second_engine.lots import Lot, lots, made

SHOWN = 5


def asked(lot: Lot) -> tuple[Lot, Tally]:
    return lot, compared(made(lot))


def answers(wanted: list[Lot], processes: int) -> Iterator[tuple[Lot, Tally]]:
    """Of every lot: those kept from before, then the others, each kept as soon as it is told."""
    for lot in wanted:
        hash_of(lot.ruleset)  # now, since somebody may edit the files while the run goes on
    behind = kept()
    yield from ((lot, behind[lot]) for lot in wanted if lot in behind)
    with Pool(processes) as pool:
        for lot, tally in pool.imap_unordered(asked, [lot for lot in wanted if lot not in behind]):
            keep(lot, tally)
            yield lot, tally


class Progress:
    """A line for each rule set that is through."""

    def __init__(self, wanted: list[Lot]) -> None:
        self.begun, self.open = time.monotonic(), Counter(lot.ruleset for lot in wanted)
        self.of_ruleset = {name: Tally() for name in self.open}

    def take(self, lot: Lot, tally: Tally) -> None:
        found = self.of_ruleset[lot.ruleset]
        found.take(tally)
        self.open[lot.ruleset] -= 1
        if not self.open[lot.ruleset]:
            through = sum(not left for left in self.open.values())
            print(
                f"{through} of {len(self.open)}: {lot.ruleset}: {told(found)}, "
                f"after {time.monotonic() - self.begun:.0f} s", file=sys.stderr, flush=True,
            )  # fmt: skip


def told(tally: Tally) -> str:
    return f"examples={tally.examples} disagreements={tally.differing} unsafe={tally.unsafe}"


def show(disagreement: tuple[Vector, dict, dict]) -> None:
    vector, ours, theirs = disagreement
    print(json.dumps(vector, ensure_ascii=False))
    for name in (*TOLD, "results"):
        if ours[name] != theirs[name]:
            print(f"  {name}: second engine {ours[name]}, product {theirs[name]}")


def main(per_ruleset: int = 500, seed: int = 1, processes: int = 2) -> int:
    wanted = lots(per_ruleset, seed)
    found, progress = compared(shared_vectors()), Progress(wanted)
    differing = found.disagreements[:SHOWN]
    for lot, tally in answers(wanted, processes):
        differing += tally.disagreements[: SHOWN - len(differing)]
        found.take(tally)
        progress.take(lot, tally)
    for disagreement in differing:
        show(disagreement)
    print(", ".join(f"{state}: {number}" for state, number in sorted(found.states.items())))
    print(told(found))
    return 1 if found.differing or not found.examples else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:4])))
