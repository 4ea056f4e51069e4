"""Rows found in the model of a part, written for the model of the whole year. Pure.

A part has its groups, visits, set-ups and overtime in common with the whole, under other numbers.
What a row of a part says of its tasks holds in the whole year as well, where visits and set-ups
are made no less and overtime is no less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inspections.planning.model import Tag, YearModel
from inspections.planning.window_cuts import Cut

UNKNOWN = -1


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
    known = np.full(
        1 + max([0, *same, *(cut.vars.max(initial=0) for cut in cuts)]), UNKNOWN, np.int32
    )
    known[list(same)] = list(same.values())
    return [
        Cut(renamed, cut.weights, cut.least)
        for cut in cuts
        if (renamed := known[cut.vars]).min(initial=0) >= 0
    ]
