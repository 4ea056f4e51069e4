"""What the papers of a year plan say. Pure; the templates only set it."""

from __future__ import annotations

from dataclasses import dataclass

NOT_PUBLISHED = "DRAFT: the plan is not published, so nothing here is agreed"
CAUTIONS = (
    "This paper helps competent people to prepare. It is no permit to work, no examination and no "
    "proof that anything is fit.",
    "What the manufacturer, local codes and a licensed or competent person ask for comes first, "
    "also where it is more than stands here.",
    "Nothing is isolated, locked off or empty because this paper says so: it is checked on the "
    "spot before anybody begins, and restored before anybody leaves.",
    "When in doubt, stop, take it out of service, and say so.",
)
OF_A_NOTICE = (CAUTIONS[1], CAUTIONS[2])


@dataclass(frozen=True)
class Head:
    """What stands on top of every paper. `draft` is empty only for a published plan."""

    what: str
    title: str
    venue: str
    venue_address: str
    organisation: str
    organisation_address: str
    language: str
    plan: str
    made_at: str
    draft: str


@dataclass(frozen=True)
class Finding:
    what: str
    grade: str
    on: str
    standing: str


@dataclass(frozen=True)
class RopeToMeasure:
    """`places`: where it was measured the last time, with what was found there."""

    part: str
    facts: str
    last_on: str
    places: tuple[str, ...]


@dataclass(frozen=True)
class PackTask:
    """One line of the order of work, and its sheet."""

    number: int
    half: str
    tag: str
    name: str
    kind: str
    check: str
    place: str
    hazards: tuple[str, ...]
    serial: str
    state: str
    hours: str
    due: str
    last: str
    crew: tuple[str, ...]
    needs: tuple[str, ...]
    findings: tuple[Finding, ...]
    ropes: tuple[RopeToMeasure, ...]


@dataclass(frozen=True)
class Arranged:
    """Something that must be so while the work goes on, and for which tasks."""

    what: str
    words: str
    tags: tuple[str, ...]


@dataclass(frozen=True)
class WorkPack:
    head: Head
    day: str
    trade: str
    meets: tuple[str, ...]
    morning: str
    afternoon: str
    arranged: tuple[Arranged, ...]
    tasks: tuple[PackTask, ...]
    cautions: tuple[str, ...] = CAUTIONS


@dataclass(frozen=True)
class Isolated:
    """A thing that is isolated, or looked at meanwhile."""

    tag: str
    name: str
    place: str
    half: str
    check: str


@dataclass(frozen=True)
class Notice:
    head: Head
    day: str
    what: str
    halves: str
    from_to: str
    notice_days: int
    send_by: str
    responsible: tuple[str, ...]
    things: tuple[Isolated, ...]
    cautions: tuple[str, ...] = OF_A_NOTICE
