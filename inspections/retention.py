"""Until when a record is kept. Pure. The longest rule wins; what is not known is kept.

A rule says terms, of which the latest counts: `P2Y` from the day of the record; `next`, the day of the
next record of the same kind; `use_ends`, the day on which the equipment's use ends; either of these
with a time after it, `next+P1Y`; or `for_ever`. Where a day that a term needs is not known, nothing is
decided but that the record is kept, and the day is named. Where no rule tells of a class, it is kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from inspections.calendar_rules import due_date, read_interval

FOR_EVER = "for_ever"
MISSING = {
    "next": "the day of the next record of the same kind",
    "use_ends": "the day on which the use of the equipment ends",
}


class FaultyRetentionFile(ValueError):
    """A file of retention rules that cannot be used. The message names the file and the fault."""


@dataclass(frozen=True)
class Rule:
    """How long records of some classes are kept, and who says so."""

    id: str
    classes: tuple[str, ...]
    longest_of: tuple[str, ...]
    words: str
    document: str
    edition: str
    clause: str
    address: str
    verified: str
    only_first: bool = False  # only the first record of its kind on the equipment

    @property
    def source(self) -> str:
        if not self.document:
            return self.verified.capitalize()
        said = ", ".join(each for each in (self.document, self.edition, self.clause) if each)
        backed = {"document": "read in the document", "second-hand": "quoted by others"}
        return f"{said} ({backed.get(self.verified, self.verified)})"


@dataclass(frozen=True)
class Example:
    """A record with its days, and until when the file's own rules keep it."""

    source: str
    facts: Facts
    until: date | None  # None: for ever


@dataclass(frozen=True)
class RetentionRules:
    """One file: a jurisdiction, or what is common practice."""

    slug: str
    title: str
    supposes: str
    rules: tuple[Rule, ...]
    examples: tuple[Example, ...]
    hash: str


@dataclass(frozen=True)
class Facts:
    """What is known of a record. None: not known, or not yet so."""

    class_slug: str
    made: date
    next: date | None = None
    use_ended: date | None = None
    first: bool = False


@dataclass(frozen=True)
class Kept:
    """`until`: the last day on which it must be kept, where that is decided. `at_least`: the latest day
    that is known in any case. `decided_by`: the rule that is longest, or why nothing is decided."""

    until: date | None
    at_least: date | None
    for_ever: bool
    decided_by: Rule | None
    missing: tuple[str, ...] = ()
    no_rule: bool = False

    def may_go(self, today: date) -> bool:
        """Only after a day that is known. Never while anything is not."""
        return self.until is not None and today > self.until


def kept_until(facts: Facts, rules: Sequence[Rule]) -> Kept:
    """By the longest of the rules that tell of the record."""
    told = [
        rule
        for rule in rules
        if facts.class_slug in rule.classes and (facts.first or not rule.only_first)
    ]
    if not told:
        return Kept(None, None, for_ever=False, decided_by=None, no_rule=True)
    terms = [(term, rule) for rule in told for term in rule.longest_of]
    if for_ever := next((rule for term, rule in terms if term == FOR_EVER), None):
        return Kept(None, None, for_ever=True, decided_by=for_ever)
    days = [(_day_of(term, facts), rule) for term, rule in terms]
    known = [(day, rule) for day, rule in days if day is not None]
    latest, longest = max(known, key=lambda pair: pair[0], default=(None, None))
    unknown = [pair for pair, (day, _) in zip(terms, days, strict=True) if day is None]
    if unknown:
        missing = dict.fromkeys(MISSING[term.split("+")[0]] for term, _ in unknown)
        return Kept(None, latest, False, unknown[0][1], tuple(missing))
    return Kept(latest, latest, for_ever=False, decided_by=longest)


def _day_of(term: str, facts: Facts) -> date | None:
    if term.startswith("P"):
        return after(facts.made, term)
    name, _, interval = term.partition("+")
    day = facts.next if name == "next" else facts.use_ended
    return after(day, interval) if day and interval else day


def after(day: date, interval: str) -> date:
    """The day so much later. Where that month has no such day the first of the next: never sooner.

    >>> after(date(2024, 2, 29), "P2Y"), after(date(2024, 1, 31), "P3M")
    (datetime.date(2026, 3, 1), datetime.date(2024, 5, 1))
    """
    end = due_date(day, interval, 1)
    clamped = read_interval(interval).months and end.day != day.day
    return end + timedelta(days=1) if clamped else end


def following(days: Sequence[date]) -> list[date | None]:
    """For each of the days, which are in order, the next later one.

    >>> following([date(2024, 1, 1), date(2024, 1, 1), date(2024, 2, 1)])
    [datetime.date(2024, 2, 1), datetime.date(2024, 2, 1), None]
    """
    found: list[date | None] = [None] * len(days)
    for place in range(len(days) - 2, -1, -1):
        nearer = days[place + 1]
        found[place] = nearer if nearer > days[place] else found[place + 1]
    return found
