"""`python -m tests.second_engine [N] [SEED]`: N observations per rule set, by both engines.

A third of them as the shared generator makes them, two thirds at the limits of the rule set; and
the shared file of vectors. Two processes. The last line counts; the exit code is 1 where one differs.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from itertools import chain
from multiprocessing import Pool

from tests.second_engine.boundaries import boundary_vectors
from tests.second_engine.comparing import TOLD, Tally, Vector, compared, shared_vectors
from tests.second_engine.judging import rules_of_files
from tests.vectors.ropes import every_ruleset, rope_vectors

PROCESSES = 2
PER_LOT = 60
SHOWN = 5
SHARED_FILE = -1


def made(seed: int, per_ruleset: int) -> Iterator[Vector]:
    """So many vectors for each rule set, always the same ones for the same seed."""
    product, rules = every_ruleset(), rules_of_files()
    as_shared = per_ruleset // 3
    return chain(
        rope_vectors(seed, as_shared * len(product), product),
        boundary_vectors(seed, (per_ruleset - as_shared) * len(rules), rules),
    )


def one_lot(lot: tuple[int, int]) -> Tally:
    seed, per_ruleset = lot
    return compared(shared_vectors() if seed == SHARED_FILE else made(seed, per_ruleset))


def lots(per_ruleset: int, seed: int) -> list[tuple[int, int]]:
    sizes = [PER_LOT] * (per_ruleset // PER_LOT) + [per_ruleset % PER_LOT]
    asked = [(seed * 1_000_000 + at, size) for at, size in enumerate(sizes) if size]
    return [(SHARED_FILE, 0), *asked]


def show(disagreement: tuple[Vector, dict, dict]) -> None:
    vector, ours, theirs = disagreement
    print(json.dumps(vector, ensure_ascii=False))
    for name in (*TOLD, "results"):
        if ours[name] != theirs[name]:
            print(f"  {name}: second engine {ours[name]}, product {theirs[name]}")


def main(per_ruleset: int = 500, seed: int = 1) -> int:
    found, shown = Tally(), 0
    with Pool(PROCESSES) as pool:
        for tally in pool.imap_unordered(one_lot, lots(per_ruleset, seed)):
            for disagreement in tally.disagreements[: SHOWN - shown]:
                show(disagreement)
                shown += 1
            found.take(tally)
    print(", ".join(f"{state}: {number}" for state, number in sorted(found.states.items())))
    print(f"examples={found.examples} disagreements={found.differing} unsafe={found.unsafe}")
    return 1 if found.differing or not found.examples else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:3])))
