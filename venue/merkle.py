"""Merkle trees as RFC 6962 and RFC 9162 (2.1) hash them. Pure: no Django.

A tree over n leaves is told by its frontier: the roots of the full trees it falls into, the largest
first, one for each bit of n. A leaf is added, and the root found, from the frontier alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from hashlib import sha256
from itertools import islice

EMPTY_ROOT = sha256(b"").digest()
BLOCK = 1 << 10  # leaves hashed level by level, which is quicker than one by one


def leaf_hash(body: bytes) -> bytes:
    """Hash of a leaf: the byte 0, then the body (RFC 9162, 2.1.1).

    >>> leaf_hash(b"").hex()[:16]
    '6e340b9cffb37a98'
    """
    return sha256(b"\0" + body).digest()


def leaf_hashes(bodies: Iterable[bytes]) -> list[bytes]:
    """The same of many, without a call for each: half of the time of a walk over a log.

    >>> leaf_hashes([b""]) == [leaf_hash(b"")]
    True
    """
    return [sha256(b"\0" + body).digest() for body in bodies]


def node_hash(left: bytes, right: bytes) -> bytes:
    """Hash of a node: the byte 1, then both hashes below it (RFC 9162, 2.1.1)."""
    return sha256(b"\1" + left + right).digest()


class Frontier:
    """A tree that only grows, in the room of its frontier."""

    def __init__(self, size: int = 0, roots: Iterable[bytes] = ()) -> None:
        self.size, self.roots = size, list(roots)
        if len(self.roots) != size.bit_count():
            raise ValueError(f"{len(self.roots)} roots are no frontier of {size} leaves")

    def add(self, leaf: bytes) -> None:
        """Add one leaf's hash at the end."""
        self._add(leaf, 1)

    def add_all(self, leaves: Iterable[bytes]) -> None:
        """Add many. Blocks that begin where a full tree may begin are hashed level by level."""
        rest = iter(leaves)
        for leaf in islice(rest, -self.size % BLOCK):
            self._add(leaf, 1)
        while len(block := list(islice(rest, BLOCK))) == BLOCK:
            self._add(_full_root(block), BLOCK)
        for leaf in block:
            self._add(leaf, 1)

    def root(self) -> bytes:
        """The tree's root hash: MTH of RFC 9162, 2.1.1.

        >>> Frontier().root() == EMPTY_ROOT
        True
        """
        if not self.roots:
            return EMPTY_ROOT
        *others, root = self.roots
        for left in reversed(others):
            root = node_hash(left, root)
        return root

    def hex(self) -> str:
        """The frontier as text, 64 characters a root, the largest tree first."""
        return b"".join(self.roots).hex()

    def _add(self, root: bytes, width: int) -> None:
        """A full tree of `width` leaves, where every tree in hand is at least as wide."""
        full = self.size // width
        while full & 1:
            root, full = node_hash(self.roots.pop(), root), full >> 1
        self.roots.append(root)
        self.size += width


def frontier_from(size: int, text: str) -> Frontier:
    """What `hex` told of a tree of so many leaves.

    >>> frontier_from(0, "").root() == EMPTY_ROOT
    True
    """
    roots = bytes.fromhex(text)
    return Frontier(size, [roots[at : at + 32] for at in range(0, len(roots), 32)])


def _full_root(level: list[bytes]) -> bytes:
    """The root over a power of two of hashes."""
    while len(level) > 1:
        pairs = iter(level)
        level = [sha256(b"\1" + left + right).digest() for left, right in zip(pairs, pairs)]  # noqa: B905
    return level[0]


def inclusion_ranges(number: int, size: int) -> list[range]:
    """Whose roots prove that leaf `number` (from 0) is in the tree of `size` leaves: PATH of RFC 9162,
    2.1.3.1, as ranges of leaves in the order of the proof.

    >>> inclusion_ranges(2, 7)
    [range(3, 4), range(0, 2), range(4, 7)]
    """
    if not 0 <= number < size:
        raise ValueError(f"leaf {number} is not in a tree of {size}")
    ranges, low, high = [], 0, size
    while high - low > 1:
        middle = low + _split(high - low)
        other = range(middle, high) if number < middle else range(low, middle)
        low, high = (low, middle) if number < middle else (middle, high)
        ranges.append(other)
    return ranges[::-1]


def consistency_ranges(old: int, new: int) -> list[range]:
    """Whose roots prove that the tree of `new` leaves begins with the tree of `old` ones: PROOF of
    RFC 9162, 2.1.4.1, as ranges of leaves in the order of the proof.

    >>> consistency_ranges(3, 7)
    [range(2, 3), range(3, 4), range(0, 2), range(4, 7)]
    """
    if not 0 < old <= new:
        raise ValueError(f"a tree of {new} has no earlier state of {old} to be proven")
    ranges, low, high = [], 0, new
    while high != old:
        middle = low + _split(high - low)
        ranges.append(range(middle, high) if old <= middle else range(low, middle))
        low, high = (low, middle) if old <= middle else (middle, high)
    if low:  # the old tree is no full part from the first leaf on: its last part is told too
        ranges.append(range(low, high))
    return ranges[::-1]


def roots_over(leaves: Iterable[bytes], ranges: Sequence[range]) -> list[bytes]:
    """The roots over ranges that do not overlap, in their order, from one walk over all leaves."""
    found, walk, at = {}, iter(leaves), 0
    for part in sorted(ranges, key=lambda part: part.start):
        _skip(walk, part.start - at)
        tree = Frontier()
        tree.add_all(islice(walk, len(part)))
        if tree.size != len(part):
            raise ValueError(f"the leaves end before {part.stop}")
        found[part], at = tree.root(), part.stop
    return [found[part] for part in ranges]


def inclusion_holds(
    *, leaf: bytes, number: int, size: int, path: Sequence[bytes], root: bytes
) -> bool:
    """Whether the path leads from the leaf's hash to the root (RFC 9162, 2.1.3.2)."""
    if not 0 <= number < size:
        return False
    place, last, found = number, size - 1, leaf
    for other in path:
        if not last:
            return False
        if place & 1 or place == last:
            found = node_hash(other, found)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            found = node_hash(found, other)
        place, last = place >> 1, last >> 1
    return not last and found == root


def consistency_holds(
    *, old: int, old_root: bytes, new: int, new_root: bytes, path: Sequence[bytes]
) -> bool:
    """Whether the path shows that the new tree begins with the old one (RFC 9162, 2.1.4.2)."""
    if not 0 < old <= new:
        return False
    if old == new:
        return not path and old_root == new_root
    parts = [old_root, *path] if old.bit_count() == 1 else list(path)
    if not parts:
        return False
    place, last = old - 1, new - 1
    while place & 1:
        place, last = place >> 1, last >> 1
    first = second = parts[0]
    for other in parts[1:]:
        if not last:
            return False
        if place & 1 or place == last:
            first, second = node_hash(other, first), node_hash(other, second)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            second = node_hash(second, other)
        place, last = place >> 1, last >> 1
    return not last and first == old_root and second == new_root


def _split(size: int) -> int:
    """The largest power of two below `size`."""
    return int(1 << (size - 1).bit_length() - 1)


def _skip(walk: Iterator[bytes], count: int) -> None:
    next(islice(walk, count, count), None)
