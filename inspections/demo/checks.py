"""Carry out one check as a person would: start it, answer every question, send it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from inspections.actions.fill_check import add_draft_photograph, keep_answers, start_task_check
from inspections.actions.submit_check import CheckIncomplete, submit_check
from inspections.answers import Question
from inspections.demo.pictures import photograph
from inspections.demo.readings import Chance, Typed, answer_to, rope_answer
from inspections.demo.stories import RUNS_OUT, TRENDS, WEARS, Fault
from inspections.models import Draft, Record, Task
from inspections.queries.questions import questions_for, regime_of
from rigging.engine import RopeFacts
from venue.models import Equipment, Part, Person, Venue

MONTHLY_WEAR = 0.004  # millimetres of diameter: what a sound rope loses


@dataclass
class Span:
    """The days the history is about."""

    first: date
    last: date
    parts: dict[int, Part] = field(default_factory=dict)

    def share(self, day: date) -> float:
        return (day - self.first).days / max(1, (self.last - self.first).days)

    def look_up_parts(self, venue: Venue) -> None:
        self.parts = {part.pk: part for part in Part.objects.filter(equipment__venue=venue)}


def carry_out(*, task: Task, span: Span, by: Person, at: datetime, fault: Fault | None) -> Record:
    regime, piece = regime_of(task.plan.version), task.equipment
    questions = questions_for(piece, regime)
    day = at.astimezone(piece.venue.zone).date()
    started = at - timedelta(minutes=min(6 + len(questions), 55))
    draft = start_task_check(task=task, by=by, at=started)
    typed = {
        question.key: _typed(question, piece, regime.interval, day, span, fault)
        for question in questions
    }
    keep_answers(draft=draft, typed=typed, at=at - timedelta(minutes=1))
    for question in questions:
        if question.check.photo == "required" or question.check.answer == "photo":
            picture = photograph(question.check.slug.replace("_", " "))
            add_draft_photograph(draft=draft, key=question.key, upload=picture, by=by, at=at)
    return _sent(draft, typed, by, at)


def _sent(draft: Draft, typed: Mapping[str, Typed], by: Person, at: datetime) -> Record:
    try:
        return submit_check(draft=draft, by=by, at=at)
    except CheckIncomplete:
        # A reading far from the last one is asked again: it really is so.
        sure = {key: {**fields, "sure_value": "yes"} for key, fields in typed.items()}
        keep_answers(draft=draft, typed=sure, at=at)
        return submit_check(draft=draft, by=by, at=at)


def _typed(
    question: Question, piece: Equipment, interval: str, day: date, span: Span, fault: Fault | None
) -> Typed:
    part = span.parts.get(question.part_id or 0)
    code = part.code if part else ""
    if fault and (fault.check, fault.part) == (question.check.slug, code):
        return dated(fault.typed, day)
    chance = Chance(f"{piece.venue.slug} {piece.tag} {question.check.slug} {code}", day)
    if question.rope and part:
        return _rope(question.rope, part, day, span, chance)
    for trend in TRENDS if piece.venue.slug == "larkspur" else ():
        if (trend.tag, trend.check) == (piece.tag, question.check.slug):
            value = trend.first + (trend.last - trend.first) * span.share(day)
            value += chance.of_day.uniform(-0.15, 0.15)
            return {
                "value": f"{value:.{trend.places}f} {trend.unit}", "instrument": trend.instrument,
                "uncertainty": trend.uncertainty,
            }  # fmt: skip
    return answer_to(question, interval, day, chance)


def dated(typed: Mapping[str, str], day: date) -> Typed:
    """What is typed on that day; a day written as "+30" is counted from it."""
    return {
        name: (day + timedelta(days=int(text))).isoformat() if name == "cured_by" else text
        for name, text in typed.items()
    }


def _rope(facts: RopeFacts, part: Part, day: date, span: Span, chance: Chance) -> Typed:
    wear = WEARS.get(part.identifier)
    if wear is None:
        new = float(facts.baseline_diameter.si * 1000) if facts.baseline_diameter else 6.2
        months = max(0, (day - (part.installed_on or day)).days) / 30
        lost = 0.02 + min(MONTHLY_WEAR * months * chance.own.uniform(0.2, 1.0), 0.16)
        return rope_answer(new - lost - chance.of_day.uniform(0, 0.01))
    diameter, broken, strand = wear.at(span.share(day))
    typed = rope_answer(diameter, broken, strand)
    many, graded = RUNS_OUT.get(part.identifier, (10_000, {}))
    said_already = broken >= many and part.findings.exists()
    return typed | dated(graded, day) if broken >= many and not said_already else typed
