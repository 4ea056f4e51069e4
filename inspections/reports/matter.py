"""What a report of one of the kinds in `kinds/` tells beyond single checks, as frozen values.

Everything is text as it is printed, or text that a machine reads exactly (days as ISO dates, figures
as decimals): the page and record.json are two prints of it.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Fact:
    name: str
    value: str


@dataclass(frozen=True)
class Source:
    """The document that lists the items."""

    document: str
    edition: str
    clause: str
    verified: str
    address: str


@dataclass(frozen=True)
class Item:
    """Something that the report must hold. `said` is empty where nobody has stated it."""

    key: str
    number: str
    words: str
    clause: str
    verified: str  # how well it is known that the document lists it
    required: bool
    said: str
    by: str  # "the records", "the signature", or whoever stated it when signing
    hint: str
    by_signature: bool = False  # filled in by the signature, never typed

    @property
    def missing(self) -> bool:
        return self.required and not self.said


@dataclass(frozen=True)
class Verdict:
    state: str
    rule: str
    edition: str
    clause: str
    words: str
    value: str
    limit: str
    margin: str
    missing: tuple[str, ...]
    verified: str


@dataclass(frozen=True)
class Count:
    """Broken wires counted in a window, `zone` in words."""

    number: str
    window: str
    zone: str
    in_one_strand: str


@dataclass(frozen=True)
class RopePoint:
    """One rope on one day."""

    on: str
    by: str
    competence: str
    record: str
    record_sha256: str
    state: str
    diameters: tuple[str, ...]  # each pair as typed
    least_mm: str  # mean of the smallest pair, as a decimal; empty: not measured
    limit_mm: str  # what the strictest rule lets it come down to; empty: not known
    limit_by: str
    counts: tuple[Count, ...]
    pressing: str  # the count that comes nearest to its limit, as a decimal
    pressing_limit: str
    pressing_by: str  # what is counted, by which rule
    seen: tuple[str, ...]
    not_looked: str  # why nothing was seen of it, where that was so
    instrument: str
    uncertainty: str
    verdicts: tuple[Verdict, ...]
    where: str = ""  # the position it had on that day

    @property
    def measured(self) -> bool:
        return not self.not_looked

    @property
    def count_lines(self) -> tuple[tuple[str, str], ...]:
        """Number and where, those of one number and window in one line."""
        lines: dict[tuple[str, str], list[str]] = {}
        for count in self.counts:
            strand = (
                f" ({count.in_one_strand} in one strand)"
                if count.in_one_strand not in ("", "0")
                else ""
            )
            lines.setdefault((count.number, count.window), []).append(count.zone + strand)
        return tuple(
            (number, f"in {window}: {', '.join(zones)}")
            for (number, window), zones in lines.items()
        )


@dataclass(frozen=True)
class RopeLife:
    """A rope with all that was seen of it, oldest first."""

    tag: str
    equipment: str
    position: str
    name: str
    identifier: str
    construction: str
    nominal: str
    baseline: str
    breaking_force: str
    installed_on: str
    retired_on: str
    points: tuple[RopePoint, ...]
    facts: tuple[Fact, ...] = ()  # all the register knows of it
    not_known: tuple[str, ...] = ()  # and what it does not

    @property
    def last(self) -> RopePoint | None:
        """The last time something was seen of it."""
        return next((point for point in reversed(self.points) if point.measured), None)

    @property
    def not_seen_since(self) -> tuple[RopePoint, ...]:
        """Later looks that saw nothing of it."""
        after = self.points.index(self.last) + 1 if self.last else 0
        return self.points[after:]


@dataclass(frozen=True)
class CheckDone:
    """A check that was due or done in the days of the report."""

    check: str
    due_on: str
    done_on: str
    by: str
    state: str
    note: str  # what was not looked at and why; why it was not done
    record: str
    record_sha256: str
    not_done: bool


@dataclass(frozen=True)
class NextDate:
    check: str
    due_on: str
    last_lawful_on: str
    late: bool


@dataclass(frozen=True)
class Piece:
    """A piece of equipment in the report."""

    tag: str
    name: str
    kind: str
    place: str
    serial: str
    state: str
    state_words: str
    checks: tuple[CheckDone, ...]
    not_looked: tuple[str, ...]
    ropes: tuple[RopeLife, ...]
    next_dates: tuple[NextDate, ...]


@dataclass(frozen=True)
class FoundThing:
    grade: str
    equipment: str
    part: str
    what: str
    detail: str
    found_on: str
    found_by: str
    cured_by: str
    restriction: str
    orders: tuple[str, ...]
    remedies: tuple[str, ...]
    standing: str


@dataclass(frozen=True)
class Graded:
    """The findings of one grade; none is said as well."""

    grade: str
    findings: tuple[FoundThing, ...]


@dataclass(frozen=True)
class OpenOrder:
    equipment: str
    what: str
    why: str
    restriction: str
    bites_on: str
    by: str
    given_at: str


@dataclass(frozen=True)
class Examiner:
    """Who looked, and what their competence was on each of those days."""

    name: str
    role: str
    competence: str
    days: tuple[str, ...]
    checks: int
    could_sign: bool


@dataclass(frozen=True)
class Evidence:
    """A photograph or document of a remedy. A photograph is printed where it is whole."""

    number: int
    name: str
    media_type: str
    sha256: str  # of what is printed
    original_sha256: str


@dataclass(frozen=True)
class Cure:
    what: str
    by: str
    at: str
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True)
class Returned:
    """An order, what was done about it, and who returned the equipment."""

    tag: str
    equipment: str
    part: str
    place: str
    order: str
    why: str
    restriction: str
    ordered_by: str
    ordered_at: str
    bites_on: str
    finding: str
    grade: str
    detail: str
    found_by: str
    found_at: str
    record: str
    cures: tuple[Cure, ...]
    returned_by: str
    competence: str
    returned_at: str
    statement: str
    second_person: str
    looked_after: tuple[CheckDone, ...]
    still_open: tuple[str, ...]


@dataclass(frozen=True)
class Matter:
    kind: str  # the slug of the kind's file
    kind_sha256: str  # of that file: which items were asked for stays known
    name: str
    sources: tuple[Source, ...] = ()
    items: tuple[Item, ...] = ()
    facts: tuple[Fact, ...] = ()
    examined_from: str = ""
    pieces: tuple[Piece, ...] = ()
    ropes: tuple[RopeLife, ...] = ()
    findings: tuple[Graded, ...] = ()
    open_orders: tuple[OpenOrder, ...] = ()
    people: tuple[Examiner, ...] = ()
    returned: Returned | None = None
    notes: tuple[str, ...] = ()

    @property
    def missing(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.missing)

    @property
    def none_found(self) -> tuple[str, ...]:
        return tuple(graded.grade for graded in self.findings if not graded.findings)
