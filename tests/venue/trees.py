"""A venue's log, recomputed from its lines alone."""

from __future__ import annotations

from hashlib import sha256

from venue.models import LogHead, LogLine, Venue


def whole(venue: Venue) -> int:
    """How many lines; every one is where it says, and their root is the head's."""
    lines = list(LogLine.objects.filter(venue=venue).order_by("number"))
    assert [line.number for line in lines] == list(range(1, len(lines) + 1))
    leaves = [sha256(b"\0" + line.body.encode()).digest() for line in lines]
    assert [line.sha256 for line in lines] == [leaf.hex() for leaf in leaves]
    head = LogHead.objects.get(venue=venue)
    assert (head.size, head.root) == (len(lines), root(leaves).hex())
    return len(lines)


def root(level: list[bytes]) -> bytes:
    """The root of RFC 9162, 2.1.1: a level is paired, an odd last one goes up as it is."""
    while len(level) > 1:
        pairs = [level[at : at + 2] for at in range(0, len(level), 2)]
        level = [sha256(b"\1" + b"".join(p)).digest() if len(p) == 2 else p[0] for p in pairs]
    return level[0] if level else sha256().digest()
