"""Answers of a phone that a form would have asked about again, and those to questions that are gone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inspections.answers import AS_ARRIVED, Question
from inspections.models import Draft
from inspections.queries.checks import Asked, ask
from inspections.queries.questions import Known, question_about, regime_of
from inspections.regime_shapes import Check
from rigging.engine import RuleSet
from venue.models import Part

# Each turn leaves out or confirms a field; one may bring the next to light.
LONGEST_WAY = 12
LONGEST_KEY = 19  # digits of the largest number a database keeps as a key


def is_bad(state: str) -> bool:
    """Whether an answer of this state opens a finding; what is not known does not, by itself."""
    return state in ("restrict", "out of service", "retire")


def as_it_bites(asked: Asked, rulesets: Sequence[RuleSet]) -> dict[str, str] | None:
    """The part of an open answer that can be read, where that alone is bad; None where it is not.

    What could not be read is left out and what was not confirmed is taken as it stands: both only
    to keep a bad answer, never to make a pass.
    """
    tried = asked
    for _ in range(LONGEST_WAY):
        answer = tried.answer
        if answer is None:
            return None
        if answer.complete:
            return tried.typed if is_bad(tried.state) else None
        readable = {name: text for name, text in tried.typed.items() if name not in answer.faults}
        readable |= {f"sure_{name}": "yes" for name in answer.asked_again} | {AS_ARRIVED: "yes"}
        if readable == tried.typed:
            return None  # what is missing cannot be left out
        tried = ask(asked.question, readable, rulesets, asked.photos)
    return None


def told(typed: Mapping[str, str]) -> str:
    """What was typed, as one line.

    >>> told({"given": "no", "at": "2026-05-04T12:00:00Z", "reason": ""})
    'given: no'
    """
    return "; ".join(f"{name}: {text}" for name, text in typed.items() if text and name != "at")


@dataclass(frozen=True)
class Gone:
    """An answer to a question that is not asked here any more; `now` is the question as it would be
    asked of the same part where it is now, if it is in use anywhere."""

    key: str
    typed: dict[str, str]
    label: str
    part: Part | None = None
    now: Question | None = None

    @property
    def words(self) -> str:
        return f"{self.label}: {told(self.typed)}"


def answers_gone(draft: Draft, asked: Sequence[Asked]) -> list[Gone]:
    """The answers in a draft that belong to no question of its check."""
    checks = {check.slug: check for check in regime_of(draft.version).checks}
    here = {each.question.key for each in asked}
    rows = [(key, typed) for key, typed in draft.answers.items() if key not in here and told(typed)]
    return [_gone(draft, checks.get(key.partition(".")[0]), key, typed) for key, typed in rows]


def _gone(draft: Draft, check: Check | None, key: str, typed: dict[str, str]) -> Gone:
    was = _part_named(draft, key.partition(".")[2])
    if check is None:
        return Gone(key, typed, key)
    about = f"{was.code}, {was.name}: {check.question}" if was else check.question
    part = where_now(was) if was else None
    if was and part is None:
        return Gone(key, typed, about)
    known = Known(part.equipment if part else draft.equipment)
    return Gone(key, typed, about, part, question_about(check, part, known))


def _part_named(draft: Draft, number: str) -> Part | None:
    if not (number.isascii() and number.isdecimal() and len(number) < LONGEST_KEY):
        return None
    parts = Part.objects.filter(equipment__venue=draft.equipment.venue_id)
    return parts.select_related("equipment__venue", "successor").filter(pk=int(number)).first()


def where_now(part: Part) -> Part | None:
    """The same thing in the position it has now; None where it is out of use. A successor in the
    same position is another thing, one in another position is this thing moved."""
    while part.retired_on:
        after = part.successor
        if after is None or (after.equipment_id, after.code) == (part.equipment_id, part.code):
            return None
        part = after
    return part
