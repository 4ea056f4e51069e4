"""What would happen if one task of a plan were done in another half-day, in plain words. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from inspections.over_budget import WITHOUT_MONEY
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.house import House, Task, day_of
from inspections.planning.usable import hindrances
from inspections.planning.wording import counted_words, money_words, slot_words
from inspections.year_figures import faults_in_words

CLASH = re.compile(r"^half-day \d+: (?P<one>.+) and (?P<two>.+) clash$")
QUARTERS = re.compile(r"\b(\d+) quarter-hours of people are missing")
SAID_TWICE = re.compile(r"\b(.+?) \(\1\)")
MOST_SAID, MOST_NAMED = 5, 3
# What a plan costs, in the words of the pages that tell it.
PAID_FOR = {
    "tasks": "tasks", "used validity": "validity given away", "early": "days too early",
    "examiners": "examiners’ visits", "set-ups": "what is made ready", "overtime": "overtime",
}  # fmt: skip


@dataclass(frozen=True)
class MoveChecked:
    """`faults`: what no plan may have. `late`: days more that something is late. For people."""

    faults: tuple[str, ...]
    late: int
    cost: int
    words: tuple[str, ...]
    money: tuple[str, ...] = ()
    """What it would cost: for whoever may see money."""
    over: tuple[str, ...] = ()
    """Which budgets it would exceed and by how much: for them alone, too."""

    def told(self, sees_money: bool) -> tuple[str, ...]:
        if sees_money:
            return (*self.words, *self.money, *self.over)
        return (*self.words, WITHOUT_MONEY) if self.over else self.words

    @property
    def for_everybody(self) -> tuple[str, ...]:
        """For pages, whose templates ask without saying more."""
        return self.told(sees_money=False)

    @property
    def for_money(self) -> tuple[str, ...]:
        return self.told(sees_money=True)

    @property
    def worse(self) -> bool:
        return bool(self.faults) or self.late > 0 or bool(self.over)


def check_move(
    house: House, tasks: Iterable[Task], task: Task, slot: int, now: Evaluation | None = None
) -> MoveChecked:
    """The plan with the task in the other half-day against the plan as it is, all else as it is.
    `now`: the plan as it is, judged without agreed and locked tasks, where that is known."""
    loose, planned = unbound(house), sorted(tasks)
    moved = [other for other in planned if other != task] + [task._replace(slot=slot)]
    now = now or evaluate(loose, planned)
    if not 0 <= slot <= house.slots - house.plan_of[task.plan].duration:
        return refused("That half-day is outside the plan.")
    then = evaluate(loose, moved)
    faults = tuple(_new_faults(house, task, slot, now, then))
    late, cost = then.late_days - now.late_days, then.cost - now.cost
    words = (*faults, *_late_words(now, then))
    return MoveChecked(faults, late, cost, words, tuple(_money(now, then)))


def refused(why: str) -> MoveChecked:
    """Not moved, whatever else holds."""
    return MoveChecked((why,), 0, 0, (why,))


def unbound(house: House) -> House:
    """The house without what was agreed and locked: a move by hand is what may change that."""
    return replace(house, agreed=frozenset(), locked=frozenset())


def in_the_way(house: House, task: Task, slot: int) -> str:
    """Why the task cannot be done in a half-day, whatever else is planned; empty: it can."""
    missing = missing_for(house, task, slot)
    if not missing:
        return ""
    held = f": {held_by(house, slot)}" if slot in house.bookings else ""
    half_day = slot_words(house, slot) + held
    return f"{half_day}. Missing for it: {missing}."


def missing_for(house: House, task: Task, slot: int) -> str:
    return ", ".join(hindrances(house, house.plan_of[task.plan], slot))


def held_by(house: House, slot: int) -> str:
    """What holds the house then; what only says its own kind again is said once.

    >>> from datetime import date
    >>> held_by(House(date(2027, 3, 1), (), (), bookings={4: "Dark (Dark); Nine Lanterns (Other)"}), 4)
    'Dark; Nine Lanterns (Other)'
    """
    return SAID_TWICE.sub(r"\1", house.bookings.get(slot, ""))


def _new_faults(
    house: House, task: Task, slot: int, now: Evaluation, then: Evaluation
) -> Iterable[str]:
    """What stands in the way of the task itself, then what it would spoil for others."""
    if missing := in_the_way(house, task, slot):
        yield missing
    told, known = _told_already(house, task, slot), set(now.faults)
    faults = [fault for fault in then.faults if fault not in known and not told.search(fault)]
    clashes = [found for fault in faults if (found := CLASH.match(fault))]
    if others := [_other(found, task.plan) for found in clashes]:
        yield (
            f"It clashes there with {named(others)}: nobody works above people, "
            "and two zones over each other are never worked in at once."
        )
    left = [fault for fault in faults if not CLASH.match(fault)]
    yield from (f"{_hours(words)}." for words in faults_in_words(house, left[:MOST_SAID]))
    if len(left) > MOST_SAID:
        yield f"And {len(left) - MOST_SAID} more that no plan may have."


def named(things: list[str]) -> str:
    """The first three by name, and how many more.

    >>> named(["W1", "W2"]), named(["W1", "W2", "W3", "W4", "W5"])
    ('W1; W2', 'W1; W2; W3 and 2 more')
    """
    more = f" and {len(things) - MOST_NAMED} more" if len(things) > MOST_NAMED else ""
    return f"{'; '.join(things[:MOST_NAMED])}{more}"


def _other(found: re.Match[str], plan: str) -> str:
    return found["one"] if found["two"] == plan else found["two"]


def _hours(words: str) -> str:
    """Quarter-hours as hours.

    >>> _hours("4 March 2027, morning: 10 quarter-hours of people are missing")
    '4 March 2027, morning: 2.5 hours of people are missing'
    """
    return QUARTERS.sub(_missing, words)


def _missing(quarters: re.Match[str]) -> str:
    hours = f"{int(quarters[1]) / 4:g}"
    one = "1 hour of people is missing"
    return one if hours == "1" else f"{hours} hours of people are missing"


def _told_already(house: House, task: Task, slot: int) -> re.Pattern[str]:
    """The faults that the hindrances of the half-day have told in better words."""
    key, trade = re.escape(task.plan), re.escape(house.plan_of[task.plan].examiner or "nobody")
    return re.compile(
        rf"^{key}: half-day \d+ lacks |^examiner \({trade}\) does not come on day {day_of(slot)}$"
        rf"|^{key}: too late to give notice of .* for day \d+$"
    )


def _late_words(now: Evaluation, then: Evaluation) -> Iterable[str]:
    late = {plan for plan, days in then.late.items() if days > now.late.get(plan, 0)}
    for plan in sorted(late):
        yield f"{plan} would be late, by {counted_words(then.late[plan], 'day')} in all."
    less = now.late_days - then.late_days
    if less > 0:
        yield f"{counted_words(less, 'day')} less would be late."
    elif not late:
        yield "Nothing more would be late."


def _money(now: Evaluation, then: Evaluation) -> Iterable[str]:
    paid = {name: then.parts[name] - now.parts[name] for name in then.parts}
    said = ", ".join(
        f"{PAID_FOR[name]} {signed_money(more)}" for name, more in paid.items() if more
    )
    total = then.cost - now.cost
    if not total:
        yield "The cost stays the same."
    else:
        yield f"It would cost {money_words(abs(total))} {'more' if total > 0 else 'less'}: {said}."


def signed_money(amount: int) -> str:
    """
    >>> signed_money(95000), signed_money(-200), signed_money(0)
    ('+950.00', '−2.00', '0.00')
    """
    sign = "+" if amount > 0 else "−" if amount < 0 else ""
    return f"{sign}{money_words(abs(amount))}"
