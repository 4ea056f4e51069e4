"""Rows found in the model of a part, written for the model of the whole year. Pure.

A part has its groups, visits, set-ups and overtime in common with the whole, under other numbers.
What a row of a part says of its tasks holds in the whole year as well, where visits and set-ups
are made no less and overtime is no less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inspections.planning.model import Tag, YearModel
from inspections.planning.window_cuts import Cut


@dataclass(frozen=True)
class Numbers:
    """Under which numbers a model keeps what others have too."""

    spans: dict[str, tuple[int, int]]
    """For each group, by the key of its first member, its own variables."""
    made: dict[tuple[Tag, int], int]
    overtime: dict[int, int]


def numbers_of(year: YearModel) -> Numbers:
    return Numbers(
        {group.members[0].key: year.span[group.number] for group in year.groups},
        {(tag, unit): var.index for tag, made in year.made.items() for unit, var in made.items()},
        {slot: var.index for slot, var in year.overtime.items()},
    )


def rewritten(cuts: Sequence[Cut], theirs: Numbers, ours: Numbers) -> list[Cut]:
    """The rows under our numbers; one that speaks of anything we do not have is left out."""
    same: dict[int, int] = {}
    for key, (first, end) in theirs.spans.items():
        start, stop = ours.spans.get(key, (0, 0))
        # Ours may have margins as well, which are the last.
        if stop - start >= end - first:
            same.update(zip(range(first, end), range(start, stop), strict=False))
    same.update((n, ours.made[key]) for key, n in theirs.made.items() if key in ours.made)
    same.update((n, ours.overtime[s]) for s, n in theirs.overtime.items() if s in ours.overtime)
    return [
        Cut({same[var]: weight for var, weight in cut.weights.items()}, cut.least)
        for cut in cuts
        if all(var in same for var in cut.weights)
    ]
