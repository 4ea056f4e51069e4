"""Carry out one check as a person would: start it, answer every question, send it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from inspections.actions.fill_check import add_draft_photograph, keep_answers, start_task_check
from inspections.actions.submit_check import CheckIncomplete, submit_check
from inspections.answers import question_key
from inspections.demo.pictures import photograph
from inspections.demo.readings import Chance, Typed, answer_to, rope_answer
from inspections.demo.stories import RUNS_OUT, TRENDS, WEARS, Fault, Trend
from inspections.models import Draft, Record, Task
from inspections.queries.questions import regime_of
from inspections.regime_shapes import Check
from venue.models import Equipment, Part, Person, Venue
from venue.quantities import Quantity

MONTHLY_WEAR = 0.004  # millimetres of diameter: what a sound rope loses


@dataclass
class Span:
    """The days the history is about, and the parts in use."""

    first: date
    last: date
    parts: dict[int, list[Part]] = field(default_factory=dict)

    def share(self, day: date) -> float:
        return (day - self.first).days / max(1, (self.last - self.first).days)

    def look_up_parts(self, venue: Venue) -> None:
        self.parts.clear()
        for part in Part.objects.filter(equipment__venue=venue, retired_on__isnull=True):
            self.parts.setdefault(part.equipment_id, []).append(part)


@dataclass(frozen=True)
class Field:
    """One question of the form, by the name that its fields have there."""

    key: str
    check: Check
    part: Part | None


def carry_out(*, task: Task, span: Span, by: Person, at: datetime, fault: Fault | None) -> Record:
    regime, piece = regime_of(task.plan.version), task.equipment
    fields = [
        each for check in regime.checks for each in _fields(check, span.parts.get(piece.pk, []))
    ]
    day = at.astimezone(piece.venue.zone).date()
    started = at - timedelta(minutes=min(6 + len(fields), 55))
    draft = start_task_check(task=task, by=by, at=started)
    typed = {each.key: _typed(each, piece, regime.interval, day, span, fault) for each in fields}
    keep_answers(draft=draft, typed=typed, at=at - timedelta(minutes=1))
    for each in fields:
        if each.check.photo == "required" or each.check.answer == "photo":
            what = each.check.slug.replace("_", " ")
            picture = photograph(f"{what}, {piece.tag}, {day:%-d %b %Y}")
            add_draft_photograph(draft=draft, key=each.key, upload=picture, by=by, at=at)
    return _sent(draft, typed, by, at)


def _fields(check: Check, parts: list[Part]) -> list[Field]:
    mine = [part for part in parts if part.kind == check.part_kind]
    return [Field(question_key(check.slug, part.pk), check, part) for part in mine] or [
        Field(check.slug, check, None)
    ]


def _sent(draft: Draft, typed: Mapping[str, Typed], by: Person, at: datetime) -> Record:
    try:
        return submit_check(draft=draft, by=by, at=at)
    except CheckIncomplete:
        # A reading far from the last one is asked again: it really is so.
        sure = {key: {**fields, "sure_value": "yes"} for key, fields in typed.items()}
        keep_answers(draft=draft, typed=sure, at=at)
        return submit_check(draft=draft, by=by, at=at)


def _typed(
    each: Field, piece: Equipment, interval: str, day: date, span: Span, fault: Fault | None
) -> Typed:
    check, code = each.check, each.part.code if each.part else ""
    if fault and (fault.check, fault.part) == (check.slug, code):
        return dated(fault.typed, day)
    chance = Chance(f"{piece.venue.slug} {piece.tag} {check.slug} {code}", day)
    if each.part and check.answer == "rope":
        return _rope(each.part, day, span, chance)
    trend = _TRENDS.get((piece.venue.slug, piece.tag, check.slug))
    if trend is None:
        return answer_to(check, interval, day, chance)
    return _grown(trend, piece, span.share(day), chance)


_TRENDS = {("larkspur", trend.tag, trend.check): trend for trend in TRENDS}


def _grown(trend: Trend, piece: Equipment, share: float, chance: Chance) -> Typed:
    value = trend.first + (trend.last - trend.first) * share + chance.of_day.uniform(-0.15, 0.15)
    worth_a_note = trend.noted_from is not None and value >= trend.noted_from
    return {
        "value": f"{value:.{trend.places}f} {trend.unit}", "instrument": trend.instrument,
        "uncertainty": trend.uncertainty,
        "grade": "observation" if worth_a_note and not piece.findings.exists() else "",
    }  # fmt: skip


def dated(typed: Mapping[str, str], day: date) -> Typed:
    """What is typed on that day; a day written as "+30" is counted from it."""
    return {
        name: (day + timedelta(days=int(text))).isoformat() if name == "cured_by" else text
        for name, text in typed.items()
    }


def _rope(part: Part, day: date, span: Span, chance: Chance) -> Typed:
    wear = WEARS.get(part.identifier)
    if wear is None:
        new = float(Quantity.from_stored(part.fields["baseline_diameter"]).si * 1000)
        months = max(0, (day - (part.installed_on or day)).days) / 30
        lost = 0.02 + min(MONTHLY_WEAR * months * chance.own.uniform(0.2, 1.0), 0.16)
        return rope_answer(new - lost - chance.of_day.uniform(0, 0.01))
    diameter, broken, strand = wear.at(span.share(day))
    typed = rope_answer(diameter, broken, strand)
    many, graded = RUNS_OUT.get(part.identifier, (10_000, {}))
    said_already = broken >= many and part.findings.exists()
    return typed | dated(graded, day) if broken >= many and not said_already else typed
