"""A house too large for one model: searched on one core, its bound proven by parts on the other.

Needs OR-Tools. Late days are proven by what each plan has alone.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from inspections.planning.bound_by_parts import bound_by_parts
from inspections.planning.capacity import Capacity
from inspections.planning.groups import Group, groups_of
from inspections.planning.house import House, Task
from inspections.planning.late_alone import late_alone
from inspections.planning.local_search import LocalSearch, stop_after

LARGE = 6_000
"""Half-days in which a group can begin, over all groups: a year of a house has half as many."""
STEPS, EVERY_SECONDS = 10**9, 15.0
PROOF_SHARE = 0.9
"""What is relaxed cannot be stopped at any moment, so the proof is given less than the time."""


@dataclass
class Proven:
    """What no plan of the house can be below."""

    late: int = 0
    cost: int = 0


def is_large(groups: Sequence[Group]) -> bool:
    return sum(len(group.slots) for group in groups) > LARGE


def search_and_prove(
    house: House,
    search: LocalSearch,
    late: int,
    seconds: float,
    offer: Callable[[Iterable[Task]], None],
    hear: Callable[[int], None],
) -> Proven:
    """Offer what the search finds; what is proven of plans no later than `late`, and its bound of
    cost as it rises."""
    found = Proven()
    with ThreadPoolExecutor(max_workers=1) as aside:
        proof = aside.submit(_prove, house, late, seconds * PROOF_SHARE, found, hear)
        offer(search.run(STEPS, _telling(search, seconds, offer)))
        proof.result()
    return found


def _prove(
    house: House, late: int, seconds: float, found: Proven, hear: Callable[[int], None]
) -> None:
    began = time.monotonic()
    groups = groups_of(house)
    alone = late_alone(house, groups, Capacity(house), house.plan_of) if late else {}
    found.late = sum(alone.values())
    found.cost = bound_by_parts(house, late, 0, seconds - (time.monotonic() - began), hear)


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
