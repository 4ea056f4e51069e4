"""Walk a venue's log from its first line, in constant memory, and recompute its tree from the stored
texts. What the other columns say of a line is held against its text."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, field
from itertools import chain, islice
from operator import itemgetter
from typing import Any

from django.db import connection

from venue.merkle import Frontier, leaf_hashes
from venue.models import LogLine, Venue

AT_ONCE = 1024  # a block of venue.merkle, which it hashes level by level
MOST_FAULTS = 50
COLUMNS = ("number", "body", "sha256", "by_name", "did", "subject", "label", "at")
Row = tuple[Any, ...]
Line = tuple[str, Any]  # a line's text, and the same read
WHICH = "from venue_logline where venue_id = %s and number <= %s order by number"
TEXTS = {  # as bytes
    "sqlite": f"select cast(body as blob) {WHICH}",
    "postgresql": f"select convert_to(body, 'UTF8') {WHICH}",
}


@dataclass
class Walked:
    """The roots at the wanted sizes and at the end, and what was wrong on the way."""

    tree: Frontier = field(default_factory=Frontier)
    roots: dict[int, str] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def fault(self, words: str) -> None:
        if len(self.faults) < MOST_FAULTS:
            self.faults.append(words)


def leaves_of(venue: Venue, size: int) -> Iterator[bytes]:
    """The leaf hashes of the first `size` lines, from their texts. Asked past the models, which would
    take as long again as the hashing."""
    return chain.from_iterable(_blocks_of_leaves(venue, size))


def _blocks_of_leaves(venue: Venue, size: int) -> Iterator[list[bytes]]:
    with connection.chunked_cursor() as cursor:
        cursor.execute(TEXTS[connection.vendor], [venue.pk, size])
        while block := cursor.fetchmany(AT_ONCE):
            yield leaf_hashes(map(itemgetter(0), block))


def walk_log(
    venue: Venue, size: int, wanted: Collection[int], look: Callable[[list[Line]], None]
) -> Walked:
    """`look` is given a block of lines at a time."""
    walked, stops = Walked(), sorted({each for each in wanted if 0 < each <= size})
    if 0 in wanted:
        walked.roots[0] = walked.tree.root().hex()
    rows = LogLine.objects.in_venue(venue).filter(number__lte=size).order_by("number")
    walk = rows.values_list(*COLUMNS).iterator(chunk_size=AT_ONCE)
    while block := list(islice(walk, AT_ONCE)):
        first = walked.tree.size
        leaves = leaf_hashes(row[1].encode() for row in block)
        while stops and stops[0] <= first + len(block):
            stop = stops.pop(0)
            walked.tree.add_all(leaves[walked.tree.size - first : stop - first])
            walked.roots[stop] = walked.tree.root().hex()
        walked.tree.add_all(leaves[walked.tree.size - first :])
        read = [(row[1], _held_against(row, leaf, first + place, walked))
                for place, (row, leaf) in enumerate(zip(block, leaves, strict=True), 1)]  # fmt: skip
        look([line for line in read if line[1] is not None])
    return walked


def _held_against(row: Row, leaf: bytes, place: int, walked: Walked) -> Any:
    """The line's text, read; what the columns say otherwise is a fault."""
    number, text, sha256, by, did, subject, label, at = row
    if sha256 != leaf.hex():
        walked.fault(f"Line {number}: its text is not the one that was hashed.")
    try:
        body = json.loads(text)
        told = (body["number"], body["by"], body["did"], body["subject"], body["label"], body["at"])
    except (ValueError, KeyError, TypeError):
        walked.fault(f"Line {number}: its text cannot be read.")
        return None
    if number != place:
        walked.fault(f"Line {number} stands where line {place} should be.")
    if told != (number, by, did, subject, label, at.isoformat()):
        walked.fault(f"Line {number}: the table says something else than its text.")
    return body
