"""Proofs about a venue's log, computed from its texts in one walk and in constant memory."""

from __future__ import annotations

from venue.merkle import Frontier, consistency_ranges, inclusion_ranges, roots_over
from venue.models import Venue
from venue.queries.log_walk import leaves_of


def root_at(venue: Venue, size: int) -> str:
    """The root over the first `size` lines as they are now."""
    tree = Frontier()
    tree.add_all(leaves_of(venue, size))
    if tree.size != size:
        raise ValueError(f"the log has only {tree.size} lines")
    return tree.root().hex()


def consistency_path(venue: Venue, old: int, new: int) -> list[str]:
    """That the log of `new` lines begins with that of `old` (RFC 9162, 2.1.4). Raises ValueError."""
    ranges = consistency_ranges(old, new)
    return [root.hex() for root in roots_over(leaves_of(venue, new), ranges)]


def inclusion_path(venue: Venue, number: int, size: int) -> list[str]:
    """That line `number`, from 1, is in the log of `size` lines (RFC 9162, 2.1.3). Raises ValueError."""
    ranges = inclusion_ranges(number - 1, size)
    return [root.hex() for root in roots_over(leaves_of(venue, size), ranges)]
