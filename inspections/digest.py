"""What stands in a message: plain facts in, sections of lines out, and its words. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

MOST = 12  # lines of a section; the rest is counted
DAILY_AHEAD = timedelta(days=7)
WEEKLY_AHEAD = timedelta(days=14)
# What the subject counts, one and several.
COUNTED = {
    "late": ("1 late", "{1} late"),
    "coming": ("1 coming", "{1} coming"),
    "nobody's": ("1 late and nobody's", "{1} late and nobody's"),
    "findings": ("1 finding", "{1} findings"),
    "to return": ("1 to return", "{1} to return"),
    "questions": ("1 question", "{1} questions"),
    "lapsing": ("1 competence lapsing", "{1} competences lapsing"),
    "orders": ("1 order", "{1} orders"),
    "ropes": ("1 rope", "{1} ropes"),
}


@dataclass(frozen=True)
class TaskFact:
    """An open task."""

    what: str
    planned_on: date
    last_lawful_on: date
    url: str
    person: int | None = None
    whose: str = ""
    half: str = ""  # of the planned day, as people say it
    helpers: Mapping[int, str] = field(default_factory=dict)  # names, by their number

    @property
    def planned_words(self) -> str:
        words = day_words(self.planned_on)
        return f"{words}, {self.half}" if self.half else words

    @property
    def people(self) -> str:
        """Whose it is and who helps."""
        return _with(self.whose, self.helpers.values())

    def told_to(self, reader: int) -> str:
        """The others at work, to somebody who knows that it is theirs."""
        if self.person == reader:
            return _with("", self.helpers.values())
        others = [name for number, name in self.helpers.items() if number != reader]
        return _with(f"you help {self.whose}" if self.whose else "you help", others)

    @property
    def to_do_by(self) -> date:
        """A day that people agreed may lie after the last lawful one."""
        return min(self.planned_on, self.last_lawful_on)


@dataclass(frozen=True)
class FindingFact:
    """A finding without a remedy."""

    what: str
    url: str
    by: int
    cured_by: date | None = None


@dataclass(frozen=True)
class OrderFact:
    """An order that was not lifted. `remedied_by`: everybody who did a remedy; none: there is none."""

    what: str
    words: str
    url: str
    bites_on: date
    remedied_by: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Fact:
    """Anything else: a question that waits, a competence that lapses, a rope that nears a limit."""

    what: str
    more: str
    url: str


@dataclass(frozen=True)
class Waiting:
    """All that is open in a venue on a day."""

    day: date
    tasks: Sequence[TaskFact] = ()
    findings: Sequence[FindingFact] = ()
    orders: Sequence[OrderFact] = ()
    questions: Sequence[Fact] = ()
    lapsing: Sequence[Fact] = ()
    ropes: Sequence[Fact] = ()
    ropes_unknown: int = 0
    may_sign: frozenset[int] = frozenset()  # who is competent on that day to return equipment


@dataclass(frozen=True)
class Reader:
    """Who reads it, and what of it is for them."""

    number: int
    leads: bool  # what nobody was given, and what anybody found, is theirs to see to
    returns: bool  # may return equipment to service, by role and by competence
    answers: bool  # may answer an auditor's questions


@dataclass(frozen=True)
class Line:
    what: str
    more: str
    url: str


@dataclass(frozen=True)
class Section:
    """A heading with its lines; of many the first, and how many more there are, with where."""

    title: str
    lines: tuple[Line, ...]
    url: str
    nothing: str = ""  # said where there are no lines; without it the section is left out then
    note: str = ""

    @property
    def shown(self) -> tuple[Line, ...]:
        return self.lines[:MOST]

    @property
    def more(self) -> int:
        return max(0, len(self.lines) - MOST)


@dataclass(frozen=True)
class Ways:
    """Where the lists stand that a message leads to."""

    round: str
    tasks: str
    late: str
    own_late: str
    nobodys_late: str
    findings: str
    questions: str
    people: str
    equipment: str


@dataclass(frozen=True)
class Digest:
    sections: tuple[Section, ...]
    counted: tuple[str, ...]  # "2 late", "5 coming"; none: nothing to say

    @property
    def counts(self) -> str:
        return ", ".join(self.counted)


def counted_words(number: int, words: tuple[str, str]) -> str:
    """
    >>> counted_words(1, COUNTED["findings"]), counted_words(2, COUNTED["findings"])
    ('1 finding', '2 findings')
    """
    one, many = words
    return one if number == 1 else many.replace("{1}", str(number))


def day_words(day: date) -> str:
    """
    >>> day_words(date(2026, 11, 5))
    'Thu 5 Nov 2026'
    """
    return f"{day:%a} {day.day} {day:%b %Y}"


def daily(waiting: Waiting, reader: Reader, ways: Ways) -> Digest:
    """What is the reader's: late first, then due soon, then what waits for them."""
    own = [
        replace(task, whose=task.told_to(reader.number), helpers={})
        for task in waiting.tasks
        if reader.number in (task.person, *task.helpers)
    ]
    nobodys = [task for task in waiting.tasks if task.person is None and reader.leads]
    findings = [one for one in waiting.findings if reader.leads or one.by == reader.number]
    soon = _soon(own, waiting.day, DAILY_AHEAD)
    to_return = [one for one in waiting.orders if _waits_for(one, reader)]
    asked = waiting.questions if reader.answers else ()
    sections = (
        Section("Late, and yours", _late_lines(own, waiting.day), ways.own_late),
        Section("Yours in the coming week", _soon_lines(soon, waiting.day), ways.round),
        Section("Late, and nobody was given it", _late_lines(nobodys, waiting.day), ways.nobodys_late),
        Section("Findings without a remedy", _finding_lines(findings), ways.findings),
        Section("Waiting to be returned to service", _order_lines(to_return), ways.findings),
        Section("Questions that wait for an answer", _fact_lines(asked), ways.questions),
    )  # fmt: skip
    return _digest(sections, ("late", "coming", "nobody's", "findings", "to return", "questions"))


def weekly(waiting: Waiting, ways: Ways) -> Digest:
    """The house for its manager. Every section is said, also where there is nothing."""
    soon = _soon(waiting.tasks, waiting.day, WEEKLY_AHEAD)
    sections = (
        Section("Late", _late_lines(waiting.tasks, waiting.day), ways.late, "Nothing is past its last lawful day."),
        Section("In the coming two weeks", _soon_lines(soon, waiting.day), ways.tasks, "Nothing is planned."),
        Section("Competence that lapses", _fact_lines(waiting.lapsing), ways.people, "None lapses within 90 days."),
        Section("Orders that stand", _order_lines(waiting.orders), ways.findings,
                "None. That alone says nothing about what was not checked."),
        Section("Ropes that near a limit", _fact_lines(waiting.ropes), ways.equipment,
                "None that the readings show.", _rope_note(waiting.ropes_unknown)),
    )  # fmt: skip
    return _digest(sections, ("late", "coming", "lapsing", "orders", "ropes"))


def _rope_note(unknown: int) -> str:
    words = (
        "A line through the readings so far, drawn on: no promise. A rope may go sooner; who looks "
        "at it decides."
    )
    if unknown == 1:
        return f"{words} Of 1 rope too little is known to say anything."
    if unknown:
        return f"{words} Of {unknown} ropes too little is known to say anything."
    return words


def _digest(sections: tuple[Section, ...], names: tuple[str, ...]) -> Digest:
    counted = ((len(each.lines), name) for each, name in zip(sections, names, strict=True))
    told = tuple(counted_words(number, COUNTED[name]) for number, name in counted if number)
    return Digest(tuple(each for each in sections if each.lines or each.nothing), told)


def _waits_for(order: OrderFact, reader: Reader) -> bool:
    """A second person returns it, so never whoever did any of its remedies."""
    remedied = bool(order.remedied_by)
    return reader.returns and remedied and reader.number not in order.remedied_by


def _soon(tasks: Iterable[TaskFact], day: date, ahead: timedelta) -> list[TaskFact]:
    return [one for one in tasks if one.last_lawful_on >= day and one.to_do_by <= day + ahead]


def _late_lines(tasks: Iterable[TaskFact], day: date) -> tuple[Line, ...]:
    late = sorted(
        (one for one in tasks if one.last_lawful_on < day), key=lambda one: one.last_lawful_on
    )
    return tuple(
        Line(one.what, _said(f"last lawful day was {day_words(one.last_lawful_on)}", one.people), one.url)
        for one in late
    )  # fmt: skip


def _soon_lines(tasks: Iterable[TaskFact], day: date) -> tuple[Line, ...]:
    rows = sorted(tasks, key=lambda one: (one.to_do_by, one.last_lawful_on))
    return tuple(Line(one.what, _said(_when(one, day), one.people), one.url) for one in rows)


def _when(task: TaskFact, day: date) -> str:
    lawful = f"lawful until {day_words(task.last_lawful_on)}"
    if task.planned_on > task.last_lawful_on:
        return f"too late as planned: {lawful}, planned for {task.planned_words}"
    if task.planned_on < day:
        return f"its planned day, {day_words(task.planned_on)}, is past; {lawful}"
    if task.planned_on > day:
        return f"{task.planned_words}; {lawful}"
    return f"today, {task.half}; {lawful}" if task.half else f"today; {lawful}"


def _with(whose: str, others: Iterable[str]) -> str:
    """
    >>> _with("Ana Ruiz", ["Ben Ash", "Cara Fox"]), _with("", ["Ben Ash"]), _with("Ana Ruiz", [])
    ('Ana Ruiz; with Ben Ash, Cara Fox', 'with Ben Ash', 'Ana Ruiz')
    """
    names = ", ".join(others)
    beside = f"with {names}" if names else ""
    return _said(whose, beside) if whose else beside


def _said(words: str, whose: str) -> str:
    return f"{words}; {whose}" if whose else words


def _finding_lines(findings: Iterable[FindingFact]) -> tuple[Line, ...]:
    rows = sorted(findings, key=lambda one: one.cured_by or date.max)
    return tuple(
        Line(one.what, f"to be cured by {day_words(one.cured_by)}" if one.cured_by else "", one.url)
        for one in rows
    )


def _order_lines(orders: Iterable[OrderFact]) -> tuple[Line, ...]:
    return tuple(
        Line(one.what, f"{one.words} from {day_words(one.bites_on)}", one.url) for one in orders
    )


def _fact_lines(facts: Iterable[Fact]) -> tuple[Line, ...]:
    return tuple(Line(one.what, one.more, one.url) for one in facts)
