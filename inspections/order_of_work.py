"""In which order the tasks of one half-day are done. Pure."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from typing import TypeVar

Item = TypeVar("Item", bound=Hashable)


def in_order_of_work(
    walked: Sequence[tuple[Item, str]], order: Iterable[tuple[str, str]]
) -> list[Item]:
    """The way through the house, but nothing before what must be done first.

    `walked`: each task and its kind, in the order of a walk. `order`: kinds (first, then). Of two
    kinds that would each have to wait for the other the one that is met first goes first.

    >>> way = [("set 7", "blocks"), ("door", "door"), ("grid", "sweep")]
    >>> in_order_of_work(way, [("sweep", "blocks")])
    ['door', 'grid', 'set 7']
    """
    before: dict[str, set[str]] = {}
    for first, then in order:
        before.setdefault(then, set()).add(first)
    left, done = list(walked), list[Item]()
    while left:
        waiting = {kind for _, kind in left}
        free = (each for each in left if not (before.get(each[1], set()) - {each[1]}) & waiting)
        next_one = next(free, left[0])
        left.remove(next_one)
        done.append(next_one[0])
    return done
