"""What one more dark half-day, person or examiner's day buys: solve again with it. Needs OR-Tools."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from inspections.planning.calendar_proof import NoDay, half_days_in_the_way
from inspections.planning.capacity import Capacity
from inspections.planning.groups import groups_of
from inspections.planning.house import Competence, House, Person
from inspections.planning.late_alone import late_alone
from inspections.planning.least_late import Least, least_late
from inspections.planning.outcome import Options
from inspections.planning.wording import day_words, slot_words

MOST_GAINS = 6


@dataclass(frozen=True)
class Gain:
    """A change of the house and the late days that are left with it."""

    words: str
    late_before: int
    late_after: int


def gains_of(
    house: House, no_days: Sequence[NoDay], least: Least, options: Options, seconds: float
) -> Iterator[Gain]:
    """Solve again with one thing more, the best first; what buys nothing is left out."""
    changes = list(_changes(house, no_days, least))[:MOST_GAINS]
    found = []
    for words, changed in changes:
        after = _late_with(changed, least, options, seconds / len(changes))
        if after < least.late_days:
            found.append(Gain(words, least.late_days, after))
    yield from sorted(found, key=lambda gain: (gain.late_after, gain.words))


def _late_with(changed: House, least: Least, options: Options, seconds: float) -> int:
    """The late days left; nothing is solved where the change helps none of the late plans alone."""
    alone = late_alone(changed, groups_of(changed), Capacity(changed), least.late)
    if sum(alone.values()) >= least.late_days:
        return least.late_days
    return least_late(changed, options, seconds, least.tasks).late_days


def _changes(house: House, no_days: Sequence[NoDay], least: Least) -> Iterator[tuple[str, House]]:
    """One dark half-day, one examiner's day, one person more."""
    yield "one more person on every half-day", _one_more_person(house)
    for no_day in sorted(no_days, key=lambda no_day: -no_day.late_days):
        for slot in half_days_in_the_way(house, no_day)[:1]:
            yield f"a dark half-day on {slot_words(house, slot)}", _dark(house, no_day.plan, slot)
        trade = house.plan_of[no_day.plan].examiner
        if trade and no_day.last_day >= 0:
            day = min(no_day.last_day, house.days - 1)
            words = f"examiner ({trade}) on {day_words(house, day)}"
            yield words, _examiner_day(house, trade, day)


def _dark(house: House, plan: str, slot: int) -> House:
    access = list(house.access)
    access[slot] = access[slot] | frozenset(a for p in house.plans for a in p.access)
    return replace(house, access=tuple(access))


def _examiner_day(house: House, trade: str, day: int) -> House:
    examiner = house.examiners[trade]
    more = replace(examiner, arranged=examiner.arranged | {day})
    return replace(house, examiners={**house.examiners, trade: more})


def _one_more_person(house: House) -> House:
    names = sorted({need.competence for plan in house.plans for need in plan.needs})
    every = tuple(Competence(name, 0, house.days) for name in names)
    person = Person("one more", every, (16,) * house.slots)
    return replace(house, people=(*house.people, person))
