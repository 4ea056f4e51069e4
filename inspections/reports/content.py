"""What a report says, as frozen values: the page and record.json are two prints of the same thing."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from inspections.reports.matter import Matter


@dataclass(frozen=True)
class Reading:
    what: str
    typed: str
    unit: str
    exact: str  # the same in SI, exact
    instrument: str
    uncertainty: str


@dataclass(frozen=True)
class Judgement:
    state: str
    verdict: str
    ruleset: str
    title: str
    edition: str
    sha256: str
    clause: str
    value: str
    limit: str
    margin: str
    missing: tuple[str, ...]
    words: str
    action: str
    verified: str  # how the figure was checked, in the rule set's own words
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Diameter:
    place: str
    first: str
    across: str


@dataclass(frozen=True)
class WireCount:
    what: str
    number: str


@dataclass(frozen=True)
class Fact:
    name: str
    value: str


@dataclass(frozen=True)
class Rope:
    """One rope as it was looked at: raw, so that another rule can judge it later."""

    diameters: tuple[Diameter, ...]
    counts: tuple[WireCount, ...]
    wires: tuple[WireCount, ...]
    seen: tuple[str, ...]
    not_seen: tuple[str, ...]
    not_looked_for: tuple[str, ...]
    instrument: str
    uncertainty: str
    losses: tuple[Fact, ...]
    facts: tuple[Fact, ...]  # of the rope, as the register knew them on the day


@dataclass(frozen=True)
class Photograph:
    """`sha256` is of the bytes printed; the original it was made from is kept under its own."""

    number: int
    name: str
    sha256: str
    original_sha256: str


@dataclass(frozen=True)
class VoiceNote:
    """A page cannot play it: it says where it is."""

    belongs_to: str  # the question; none: the whole check
    sha256: str


@dataclass(frozen=True)
class Answer:
    question: str
    part: str
    given: str
    text: str
    reason: str
    state: str
    readings: tuple[Reading, ...]
    judgements: tuple[Judgement, ...]
    rope: Rope | None
    photographs: tuple[Photograph, ...]


@dataclass(frozen=True)
class Order:
    what: str
    why: str
    restriction: str
    bites_on: str
    returned: str


@dataclass(frozen=True)
class Finding:
    what: str
    part: str
    detail: str
    grade: str
    cured_by: str
    restriction: str
    by: str
    at: str
    remedies: tuple[str, ...]
    orders: tuple[Order, ...]


@dataclass(frozen=True)
class WorkedOut:
    """A calculation kept on the equipment, in the pieces of its line, so that a page can say each."""

    title: str
    pieces: tuple[tuple[str, ...], ...]
    why: str
    by: str
    at: str


@dataclass(frozen=True)
class RatedLoad:
    purpose: str
    typed: str
    source: str


@dataclass(frozen=True)
class Equipment:
    tag: str
    name: str
    kind: str
    place: str
    serial: str
    made_on: str
    standing: str
    rated_loads: tuple[RatedLoad, ...]


@dataclass(frozen=True)
class Sheet:
    """One record in the report."""

    record: str
    record_sha256: str
    record_body: str  # the very bytes the hash is over
    equipment: Equipment
    regime: str
    regime_sha256: str
    level: str
    by: str
    role: str
    competence: str
    could_sign: bool
    started: str
    finished: str
    day: str
    state: str
    remark: str
    amends: str
    amended_by: tuple[str, ...]
    answers: tuple[Answer, ...]
    findings: tuple[Finding, ...]
    next_due: str
    undecided: tuple[str, ...]
    signed: tuple[str, ...] = ()  # who signed the check itself, or that nobody did
    signed_means: tuple[str, ...] = ()  # and what that shows and does not
    voice_notes: tuple[VoiceNote, ...] = ()
    drawn_signature: Photograph | None = None
    calculations: tuple[str, ...] = ()  # kept on this equipment on the day of the record
    worked_out: tuple[WorkedOut, ...] = ()  # the same in pieces

    @property
    def pictured(self) -> bool:
        return any(answer.photographs for answer in self.answers)


@dataclass(frozen=True)
class Party:
    name: str
    address: str


@dataclass(frozen=True)
class Signature:
    name: str
    role: str
    competence: str
    at: str
    meaning: str
    certificate_sha256: str
    root_sha256: str

    @property
    def standing(self) -> str:
        """An outside examiner is one by role and by competence; once is enough."""
        said = self.competence.startswith(self.role)
        return self.competence if said else f"{self.role}; {self.competence}"


@dataclass(frozen=True)
class LogHead:
    """Where the venue's log stood: a copy of this report then witnesses that the log was not rewritten."""

    size: str
    root: str = ""  # of the Merkle tree over its lines, RFC 9162


@dataclass(frozen=True)
class Report:
    number: str  # "" while it is a draft
    what: str
    title: str
    language: str
    organisation: Party
    venue: Party
    time_zone: str
    examined_on: str
    reported_at: str
    next_due: str
    sheets: tuple[Sheet, ...]
    cautions: tuple[str, ...]
    signature: Signature | None
    log: LogHead
    matter: Matter | None = None  # what a kind of report tells beyond single checks

    @property
    def draft(self) -> bool:
        return self.signature is None

    @property
    def heading(self) -> str:
        return self.matter.name if self.matter else "Inspection report"

    @property
    def kind_words(self) -> str:
        if self.matter:
            return self.matter.name
        if self.what == "one record":
            return "One check of one piece of equipment"
        number = len(self.sheets)
        return "Inspection day, 1 check" if number == 1 else f"Inspection day, {number} checks"

    def to_dict(self) -> dict[str, Any]:
        return {"format": "loftbook report 1", **asdict(self)}
