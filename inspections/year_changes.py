"""A replanned year beside the one it takes the place of, as a list of moves. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Planned:
    """One planned task as far as a comparison needs it. `task` is the dated task it stands for."""

    key: int
    plan: int
    task: int | None
    day: date
    half: str
    title: str
    people: tuple[str, ...] = ()
    late_days: int = 0

    @property
    def at(self) -> tuple[date, str]:
        return self.day, self.half

    @property
    def half_words(self) -> str:
        return "morning" if self.half == "am" else "afternoon"


@dataclass(frozen=True)
class Pair:
    """The same task before and after; one of them is missing where it was added or dropped."""

    before: Planned | None
    after: Planned | None

    @property
    def what(self) -> str:
        if self.before is None:
            return "added"
        if self.after is None:
            return "dropped"
        if self.before.at != self.after.at:
            return "moved"
        return "people changed" if self.before.people != self.after.people else "kept"

    @property
    def either(self) -> Planned:
        found = self.after or self.before
        assert found is not None
        return found

    @property
    def days(self) -> int:
        """By how many days it moved; later is more than nought."""
        return (self.after.day - self.before.day).days if self.before and self.after else 0

    @property
    def days_words(self) -> str:
        if not self.days:
            return "to the other half of the day"
        days = f"{abs(self.days)} day{'s' if abs(self.days) > 1 else ''}"
        return f"{days} {'later' if self.days > 0 else 'sooner'}"


def pairs_of(before: Iterable[Planned], after: Iterable[Planned]) -> list[Pair]:
    """Paired by the dated task; those that have none yet, by their order within their plan. Two
    dated tasks are two tasks: one came and one went, however near to each other they lie."""
    old, new = _by_plan(before), _by_plan(after)
    pairs = [pair for plan in sorted({*old, *new}) for pair in _pairs(old[plan], new[plan])]
    return sorted(pairs, key=lambda pair: (pair.either.day, pair.either.half, pair.either.title))


def _by_plan(planned: Iterable[Planned]) -> defaultdict[int, list[Planned]]:
    found: defaultdict[int, list[Planned]] = defaultdict(list)
    for each in sorted(planned, key=lambda one: (one.day, one.half)):
        found[each.plan].append(each)
    return found


def _pairs(old: Sequence[Planned], new: Sequence[Planned]) -> list[Pair]:
    named = {each.task: each for each in old if each.task is not None}
    found = [Pair(named.pop(each.task), each) for each in new if each.task in named]
    paired = {id(pair.after) for pair in found}
    left = [each for each in old if each.task is None or each.task in named]
    return found + _in_order(left, [each for each in new if id(each) not in paired])


def _in_order(left: list[Planned], waiting: list[Planned]) -> list[Pair]:
    """The first with the first; of two that are different dated tasks the earlier stays alone."""
    pairs: list[Pair] = []
    while left and waiting:
        one, other = left[0], waiting[0]
        if one.task is None or other.task is None:
            pairs.append(Pair(left.pop(0), waiting.pop(0)))
        elif one.at <= other.at:
            pairs.append(Pair(left.pop(0), None))
        else:
            pairs.append(Pair(None, waiting.pop(0)))
    return pairs + [Pair(one, None) for one in left] + [Pair(None, other) for other in waiting]
