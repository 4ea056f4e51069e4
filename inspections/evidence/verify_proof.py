#!/usr/bin/env python3
"""Check a proof about a venue's log. Needs Python 3.8 or newer and nothing else.

Run it on the file you were given:  python3 -I verify_proof.py PROOF.json

The log is a Merkle tree as RFC 9162 hashes it: a leaf is SHA-256 over the byte 0 and the line's
text, a node SHA-256 over the byte 1 and both hashes below. "consistency" shows that the log of
the new head begins with every line of the old head, "inclusion" that a line is in the log of a
head. The heads printed are the ones in the file: compare each with the one YOU kept.
"""

import hashlib
import json
import sys
from pathlib import Path


def node(left, right):
    return hashlib.sha256(b"\1" + left + right).digest()


def included(leaf, place, size, path, root):
    """RFC 9162, 2.1.3.2."""
    last, found = size - 1, leaf
    for other in path:
        if last == 0:
            return False
        if place & 1 or place == last:
            found = node(other, found)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            found = node(found, other)
        place, last = place >> 1, last >> 1
    return last == 0 and found == root


def consistent(old, old_root, new, new_root, path):
    """RFC 9162, 2.1.4.2."""
    if old == new:
        return not path and old_root == new_root
    if old & (old - 1) == 0:  # a power of two: the old root is where the path starts
        path = [old_root, *path]
    place, last = old - 1, new - 1
    while place & 1:
        place, last = place >> 1, last >> 1
    if not path:
        return False
    first = second = path[0]
    for other in path[1:]:
        if last == 0:
            return False
        if place & 1 or place == last:
            first, second = node(other, first), node(other, second)
            while not place & 1 and place:
                place, last = place >> 1, last >> 1
        else:
            second = node(second, other)
        place, last = place >> 1, last >> 1
    return last == 0 and first == old_root and second == new_root


def holds(told):
    path = [bytes.fromhex(text) for text in told["path"]]
    new, new_root = int(told["new"]["size"]), bytes.fromhex(told["new"]["root"])
    if told["proof"] == "consistency":
        old, old_root = int(told["old"]["size"]), bytes.fromhex(told["old"]["root"])
        return 0 < old <= new and consistent(old, old_root, new, new_root, path)
    leaf = hashlib.sha256(b"\0" + told["line"].encode()).digest()
    place = int(told["number"]) - 1
    return 0 <= place < new and included(leaf, place, new, path, new_root)


def main():
    if len(sys.argv) != 2:
        sys.exit("Say it so: python3 -I verify_proof.py PROOF.json")
    told = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))
    if not holds(told):
        print("WRONG: the %s proof does not hold" % told["proof"])
        return 1
    if told["proof"] == "consistency":
        print("PROOF OK: the log of the new head begins with every line of the old one")
        print("old head: %s %s" % (told["old"]["size"], told["old"]["root"]))
    else:
        print("PROOF OK: line %s is in the log of the head: %s" % (told["number"], told["line"]))
    print("new head: %s %s" % (told["new"]["size"], told["new"]["root"]))
    return 0


if __name__ == "__main__":
    sys.exit(main())
