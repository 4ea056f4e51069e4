"""What one more dark half-day, person or examiner's day buys: solve again with it. Needs OR-Tools."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from inspections.planning.calendar_proof import NoDay
from inspections.planning.capacity import Capacity
from inspections.planning.groups import groups_of
from inspections.planning.house import Competence, House, Person
from inspections.planning.late_alone import late_alone
from inspections.planning.late_stretches import (
    blocked_half_days,
    days_without_examiner,
    late_stretches,
)
from inspections.planning.least_late import Least, least_late
from inspections.planning.outcome import Options
from inspections.planning.wording import day_words, slot_words

MOST_TRIED, MOST_SOLVED, MOST_GAINS = 40, 12, 6
LEAST_SOLVED = 3
"""So many are solved even when the time is over: to write a large house's model takes long too."""


@dataclass(frozen=True)
class Gain:
    """A change of the house and the late days that are left with it."""

    words: str
    late_before: int
    late_after: int


@dataclass(frozen=True)
class _Change:
    """`competences`: how many a person more would have; 0 where it is no person."""

    words: str
    house: House
    competences: int = 0


def gains_of(
    house: House, no_days: Sequence[NoDay], least: Least, options: Options, seconds: float
) -> Iterator[Gain]:
    """Solve again with one thing more, the best first; what buys nothing is left out."""
    began, found = time.monotonic(), list[tuple[_Change, int]]()

    def over(share: float, solved: int) -> bool:
        gone = time.monotonic() - began > share * seconds
        return gone and solved >= LEAST_SOLVED and not options.repeatable

    changes: list[_Change] = []
    for change in islice(_once_each(_changes(house, no_days, least)), MOST_TRIED):
        if len(changes) == MOST_SOLVED or over(0.5, len(changes)):
            break
        if _may_help(change.house, least):
            changes.append(change)
    for number, change in enumerate(changes):
        if over(1, number):
            break
        share = seconds if options.repeatable else began + seconds - time.monotonic()
        left = len(changes) - (0 if options.repeatable else number)
        after = least_late(change.house, options, max(0.5, share / left), least.tasks).late_days
        if after < least.late_days:
            found.append((change, after))
    for change, after in sorted(_needed(found), key=lambda each: each[1])[:MOST_GAINS]:
        yield Gain(change.words, least.late_days, after)


def _once_each(changes: Iterator[_Change]) -> Iterator[_Change]:
    seen: set[str] = set()
    for change in changes:
        if change.words not in seen:
            seen.add(change.words)
            yield change


def _may_help(changed: House, least: Least) -> bool:
    """Nothing is solved where the change helps none of the late plans even alone in the house."""
    plans = tuple(plan for plan in changed.plans if plan.key in least.late)
    late = replace(changed, plans=plans, agreed=frozenset(), locked=frozenset())
    alone = late_alone(late, groups_of(late), Capacity(late), least.late)
    return sum(alone.values()) < least.late_days


def _needed(found: list[tuple[_Change, int]]) -> list[tuple[_Change, int]]:
    """Somebody with every competence is told of only where no single one buys as much."""
    single = [after for change, after in found if change.competences == 1]
    return [
        (change, after)
        for change, after in found
        if change.competences < 2 or not single or after < min(single)
    ]


def _changes(house: House, no_days: Sequence[NoDay], least: Least) -> Iterator[_Change]:
    """A person more, with one competence or all; then of every late stretch the last, the middle
    and the first half-day that could be dark, and day on which an examiner could come."""
    yield from _people(house)
    stretches = late_stretches(house, no_days, least.late, least.tasks)
    offers = [(blocked_half_days(house, s), days_without_examiner(house, s), s) for s in stretches]
    for which in (1.0, 0.5, 0.0):
        for slots, days, stretch in offers:
            if slots:
                slot = slots[round(which * (len(slots) - 1))]
                yield _Change(f"a dark half-day on {slot_words(house, slot)}", _dark(house, slot))
            if days:
                day = days[round(which * (len(days) - 1))]
                yield _examiner_day(house, house.plan_of[stretch.plan].examiner, day)


def _dark(house: House, slot: int) -> House:
    access = list(house.access)
    access[slot] = access[slot] | frozenset(a for p in house.plans for a in p.access)
    return replace(house, access=tuple(access))


def _examiner_day(house: House, trade: str, day: int) -> _Change:
    examiner = house.examiners[trade]
    more = replace(examiner, arranged=examiner.arranged | {day})
    changed = replace(house, examiners={**house.examiners, trade: more})
    return _Change(f"examiner ({trade}) on {day_words(house, day)}", changed)


def _people(house: House) -> Iterator[_Change]:
    names = sorted({need.competence for plan in house.plans for need in plan.needs})
    for name in names:
        words = f"one more person ({name}) on every half-day"
        yield _Change(words, _one_more_person(house, [name]), 1)
    if len(names) > 1:
        words = "one more person with every competence on every half-day"
        yield _Change(words, _one_more_person(house, names), len(names))


def _one_more_person(house: House, names: Sequence[str]) -> House:
    competences = tuple(Competence(name, 0, house.days) for name in names)
    person = Person("somebody", competences, (16,) * house.slots)
    return replace(house, people=(*house.people, person))
