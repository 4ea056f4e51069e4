"""The most broken wires that lie side by side in one strand within one window. Pure.

Limits: wires are numbered as they lie side by side; the numbering does not wrap round.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from rigging.engine.observation import BrokenWire


def longest_run(numbers: Iterable[int]) -> int:
    """The most whole numbers that follow each other.

    >>> longest_run([4, 1, 2, 2, 7, 3])
    4
    """
    present = set(numbers)
    most = 0
    for first in present:
        if first - 1 not in present:
            last = first
            while last + 1 in present:
                last += 1
            most = max(most, last - first + 1)
    return most


def most_adjacent(wires: Sequence[BrokenWire], length: Fraction | None) -> int:
    """Over every strand and every closed window of that length (None: the whole rope), the most
    wires side by side. Wires without a strand or a number are left out, but one wire is one."""
    placed = [wire for wire in wires if wire.strand is not None and wire.wire is not None]
    most = min(1, len(wires))
    for start in placed:
        near = [
            wire.wire
            for wire in placed
            if wire.strand == start.strand
            and wire.wire is not None
            and (length is None or 0 <= wire.position.si - start.position.si <= length)
        ]
        most = max(most, longest_run(near))
    return most
