"""A house too large for one model: searched on one core, its bound proven by parts on the other.

Needs OR-Tools. Late days are proven by what each plan has alone.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from inspections.planning.annealing.search import LocalSearch, stop_after
from inspections.planning.groups import Group
from inspections.planning.house import Task
from inspections.planning.proof_aside import Asked, ProofAside

LARGE = 6_000
"""Half-days in which a group can begin, over all groups: a year of a house has half as many."""
STEPS, EVERY_SECONDS = 10**9, 15.0
PROOF_SHARE = 0.95
"""What is relaxed cannot be stopped at any moment, so the proof is given less than the time."""


def is_large(groups: Sequence[Group]) -> bool:
    return sum(len(group.slots) for group in groups) > LARGE


def search_and_prove(
    asked: Asked,
    search: LocalSearch,
    offer: Callable[[Iterable[Task]], None],
    hear: Callable[[int], None],
) -> dict[str, int]:
    """Offer what the search finds in the time; what is proven of the plans asked about, of their
    late days and of their cost."""
    proof = ProofAside(replace(asked, seconds=asked.seconds * PROOF_SHARE), hear)
    try:
        offer(search.run(STEPS, _telling(search, asked.seconds, offer)))
        return proof.wait()
    finally:
        proof.stop()


def _telling(
    search: LocalSearch, seconds: float, offer: Callable[[Iterable[Task]], None]
) -> Callable[[], float]:
    """The clock of the search, which offers its plan now and then."""
    clock, told = stop_after(seconds), time.monotonic()

    def over() -> float:
        nonlocal told
        if time.monotonic() - told > EVERY_SECONDS:
            offer(search.tasks())
            told = time.monotonic()
        return clock()

    return over
