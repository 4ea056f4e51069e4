"""The tree's hashes and proofs: as published, and as the recursive text of RFC 9162 defines them."""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from venue.merkle import (
    BLOCK,
    EMPTY_ROOT,
    Frontier,
    consistency_holds,
    consistency_ranges,
    inclusion_holds,
    inclusion_ranges,
    leaf_hash,
    roots_over,
)

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "merkle.json").read_text())
LEAVES = [leaf_hash(bytes.fromhex(text)) for text in VECTORS["leaves"]]
ROOTS = [bytes.fromhex(text) for text in VECTORS["roots"]]
printed = pytest.mark.external("printed")


def path_of(case: dict[str, Any]) -> list[bytes]:
    return [bytes.fromhex(text) for text in case["path"]]


def tree(leaves: list[bytes]) -> Frontier:
    grown = Frontier()
    for leaf in leaves:
        grown.add(leaf)
    return grown


@printed
@pytest.mark.parametrize("size", range(9))
def test_the_root_of_every_size_is_the_published_one(size: int) -> None:
    assert tree(LEAVES[:size]).root() == ROOTS[size]


@printed
@pytest.mark.parametrize("case", VECTORS["inclusion"], ids=str)
def test_an_inclusion_proof_is_the_published_one_and_holds(case: dict[str, Any]) -> None:
    number, size, path = case["number"], case["size"], path_of(case)
    assert roots_over(LEAVES[:size], inclusion_ranges(number, size)) == path
    assert inclusion_holds(
        leaf=LEAVES[number], number=number, size=size, path=path, root=ROOTS[size]
    )


@printed
@pytest.mark.parametrize("case", VECTORS["consistency"], ids=str)
def test_a_consistency_proof_is_the_published_one_and_holds(case: dict[str, Any]) -> None:
    old, new, path = case["old"], case["new"], path_of(case)
    assert roots_over(LEAVES[:new], consistency_ranges(old, new)) == path
    assert consistency_holds(old=old, old_root=ROOTS[old], new=new, new_root=ROOTS[new], path=path)


# The definitions of RFC 9162, sections 2.1.1, 2.1.3.1 and 2.1.4.1, as they are written there,
# over the bodies `d`, sharing nothing with venue/merkle.py.


def split(n: int) -> int:
    """The largest power of two smaller than n."""
    k = 1
    while k * 2 < n:
        k *= 2
    return k


def mth(d: list[bytes]) -> bytes:
    if not d:
        return sha256().digest()
    if len(d) == 1:
        return sha256(b"\x00" + d[0]).digest()
    k = split(len(d))
    return sha256(b"\x01" + mth(d[:k]) + mth(d[k:])).digest()


def path(m: int, d: list[bytes]) -> list[bytes]:
    if len(d) == 1:
        return []
    k = split(len(d))
    if m < k:
        return [*path(m, d[:k]), mth(d[k:])]
    return [*path(m - k, d[k:]), mth(d[:k])]


def subproof(m: int, d: list[bytes], b: bool) -> list[bytes]:
    if m == len(d):
        return [] if b else [mth(d)]
    k = split(len(d))
    if m <= k:
        return [*subproof(m, d[:k], b), mth(d[k:])]
    return [*subproof(m - k, d[k:], False), mth(d[:k])]


BODIES = st.lists(st.binary(max_size=4), min_size=1, max_size=40)


@settings(max_examples=200)
@given(d=BODIES, data=st.data())
def test_roots_and_proofs_are_those_of_the_recursive_definitions(
    d: list[bytes], data: st.DataObject
) -> None:
    leaves = [leaf_hash(body) for body in d]
    root = tree(leaves).root()
    assert root == mth(d)
    m = data.draw(st.integers(0, len(d) - 1))
    proof = path(m, d)
    assert roots_over(leaves, inclusion_ranges(m, len(d))) == proof
    assert inclusion_holds(leaf=leaves[m], number=m, size=len(d), path=proof, root=root)
    shown = subproof(m + 1, d, True)
    assert roots_over(leaves, consistency_ranges(m + 1, len(d))) == shown
    assert consistency_holds(
        old=m + 1, old_root=mth(d[: m + 1]), new=len(d), new_root=root, path=shown
    )


@settings(max_examples=200)
@given(d=BODIES, data=st.data())
def test_a_proof_changed_in_anything_does_not_hold(d: list[bytes], data: st.DataObject) -> None:
    n = len(d)
    m = data.draw(st.integers(0, n - 1))
    leaf, root, proof = leaf_hash(d[m]), mth(d), path(m, d)
    other = sha256(b"something else").digest()
    told = {"leaf": leaf, "number": m, "size": n, "path": proof, "root": root}
    wrong = [told | {"leaf": other}, told | {"root": other}, told | {"path": [*proof, other]}]
    wrong += [told | {"path": proof[:-1]}] if proof else []
    wrong += [told | {"path": [*proof[:i], other, *proof[i + 1 :]]} for i in range(len(proof))]
    wrong += [told | {"number": -1}, told | {"number": n}]
    assert not any(inclusion_holds(**each) for each in wrong)
    shown = subproof(m + 1, d, True)
    said = {"old": m + 1, "old_root": mth(d[: m + 1]), "new": n, "new_root": root, "path": shown}
    wrong = [said | {"old_root": other}, said | {"new_root": other}]
    wrong += [said | {"path": [*shown, other]}, said | {"old": 0}, said | {"old": n + 1}]
    wrong += [said | {"path": [*shown[:i], other, *shown[i + 1 :]]} for i in range(len(shown))]
    wrong += [said | {"path": shown[:-1]}] if shown else []
    assert not any(consistency_holds(**each) for each in wrong)


@pytest.mark.parametrize("sizes", [(0, BLOCK), (1, 3 * BLOCK), (BLOCK - 1, 5), (5, 2 * BLOCK + 3)])
def test_many_leaves_at_once_are_the_tree_of_one_by_one(sizes: tuple[int, int]) -> None:
    leaves = [leaf_hash(str(number).encode()) for number in range(sum(sizes))]
    grown = tree(leaves[: sizes[0]])
    grown.add_all(leaves[sizes[0] :])
    whole = tree(leaves)
    assert (grown.size, grown.roots, grown.root()) == (whole.size, whole.roots, whole.root())


def test_a_tree_goes_on_from_its_frontier_alone() -> None:
    half = tree(LEAVES[:5])
    again = Frontier(half.size, half.roots)
    again.add_all(LEAVES[5:])
    assert again.root() == ROOTS[8]
    assert half.root() == ROOTS[5]


def test_what_is_no_tree_and_no_proof_is_refused() -> None:
    assert Frontier().root() == EMPTY_ROOT == ROOTS[0]
    with pytest.raises(ValueError, match="no frontier"):
        Frontier(3, ROOTS[:1])
    with pytest.raises(ValueError, match="not in a tree"):
        inclusion_ranges(3, 3)
    with pytest.raises(ValueError, match="no earlier state"):
        consistency_ranges(4, 3)
    with pytest.raises(ValueError, match="end before"):
        roots_over(LEAVES[:3], [range(2, 4)])
