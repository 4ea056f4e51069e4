"""Read the frozen body of a record into what a report prints. Pure; the body is the evidence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import count
from typing import Any

from inspections.along import VOICE, drawn_in, read_along
from inspections.reports import words
from inspections.reports.content import (
    Answer,
    Diameter,
    Fact,
    Judgement,
    Photograph,
    Reading,
    Rope,
    VoiceNote,
    WireCount,
)
from rigging.engine.conditions import CONDITIONS
from venue.quantities import UNITS

Body = Mapping[str, Any]
# Original SHA-256 -> (name, SHA-256 of the clean copy that is printed).
Pictures = Mapping[str, tuple[str, str]]


def answers_of(
    body: Body, pictures: Pictures, numbers: Iterator[int] | None = None
) -> tuple[Answer, ...]:
    """The answers in the order they were asked. `numbers` runs on through a report of many records."""
    running = numbers or count(1)
    return tuple(_answer(said, pictures, running) for said in body.get("answers", ()))


def voice_notes_of(body: Body) -> tuple[VoiceNote, ...]:
    rows = [each for each in body.get("along", ()) if each["what"] == VOICE]
    return tuple(VoiceNote(each["asked"], each["sha256"]) for each in rows)


def drawn_signature_of(body: Body, pictures: Pictures) -> Photograph | None:
    sha256 = drawn_in(read_along(body.get("along")))
    return _photograph(sha256, pictures, 0) if sha256 else None


def undecided_of(answers: tuple[Answer, ...]) -> tuple[str, ...]:
    """What was not looked at or cannot be decided, in words, each naming the missing datum."""
    found: list[str] = []
    for answer in answers:
        where = f"{answer.part}: {answer.question}" if answer.part else answer.question
        if answer.given == words.GIVEN["could_not_look"]:
            found.append(f"{where} Could not be looked at: {answer.reason or 'no reason given'}")
            continue
        open_judgements = [
            each for each in answer.judgements if each.missing or each.state == "cannot be decided"
        ]
        found += [
            f"{where} Cannot be decided by {each.title}: missing {_missing(each)}"
            for each in open_judgements
        ]
        if answer.state == "cannot be decided" and not open_judgements:
            found.append(f"{where} Cannot be decided: there is no figure to compare it with")
    return tuple(found)


def _missing(judgement: Judgement) -> str:
    return "; ".join(judgement.missing) or "a datum that was not named"


def quantity_words(stored: Body | None) -> str:
    """A stored quantity as it was typed; a bare number gets the unit of its field.

    >>> quantity_words({"typed": "9.4", "unit": "mm"}), quantity_words({"typed": '3/8"', "unit": "in"})
    ('9.4 mm', '3/8"')
    """
    if not stored:
        return ""
    typed = str(stored.get("typed", ""))
    unit = UNITS.get(str(stored.get("unit", "")))
    if unit is None or not unit.label or not typed[-1:].isnumeric():
        return typed
    return f"{typed}{'' if unit.label == '°' else ' '}{unit.label}"


def _answer(said: Body, pictures: Pictures, numbers: Iterator[int]) -> Answer:
    given = str(said.get("given", ""))
    return Answer(
        question=said.get("question", ""),
        part=said.get("part", ""),
        given=words.GIVEN.get(given, given),
        text=said.get("text", ""),
        reason=said.get("reason", ""),
        state=said.get("state", ""),
        readings=tuple(_reading(each) for each in said.get("readings", ())),
        judgements=tuple(_judgement(each) for each in said.get("judgements", ())),
        rope=_rope(said["observation"], said.get("rope") or {})
        if said.get("observation")
        else None,
        photographs=tuple(
            _photograph(sha256, pictures, next(numbers)) for sha256 in said.get("photographs", ())
        ),
    )


def _reading(said: Body) -> Reading:
    quantity = said["quantity"]
    return Reading(
        what=said.get("what", ""),
        typed=quantity_words(quantity),
        unit=str(quantity.get("unit", "")),
        exact=str(quantity.get("si", "")),
        instrument=said.get("instrument", ""),
        uncertainty=quantity_words(said.get("uncertainty")),
    )


def _judgement(said: Body) -> Judgement:
    return Judgement(
        state=str(said.get("state", "")),
        verdict=words.verdict_words(str(said.get("verdict", "")), str(said.get("ruleset") or "")),
        ruleset=str(said.get("ruleset") or ""),
        title=str(said.get("title") or said.get("ruleset") or ""),
        edition=str(said.get("edition") or ""),
        sha256=str(said.get("hash") or ""),
        clause=str(said.get("clause") or ""),
        value=str(said.get("value") or ""),
        limit=str(said.get("limit") or ""),
        margin=str(said.get("margin") or ""),
        missing=tuple(str(each) for each in said.get("missing") or ()),
        words=str(said.get("words") or ""),
        action=str(said.get("action") or ""),
        verified=str(said.get("verified") or ""),
        notes=tuple(str(each) for each in said.get("notes") or ()),
    )


def _photograph(sha256: str, pictures: Pictures, number: int) -> Photograph:
    name, shown = pictures.get(sha256, ("", ""))
    return Photograph(number, name, shown, sha256)


def _rope(said: Body, known: Body) -> Rope:
    conditions = said.get("conditions") or {}
    return Rope(
        diameters=tuple(
            Diameter(
                _place(each, order), quantity_words(each.get("a")), quantity_words(each.get("b"))
            )
            for order, each in enumerate(said.get("diameters") or (), 1)
        ),
        counts=tuple(_count(each) for each in said.get("counts") or ()),
        wires=tuple(_wire(each) for each in said.get("broken_wires") or ()),
        seen=_conditions(conditions, True),
        not_seen=_conditions(conditions, False),
        not_looked_for=_conditions(conditions, None),
        instrument=str(said.get("instrument") or ""),
        uncertainty=quantity_words(said.get("instrument_uncertainty")),
        losses=_losses(said),
        facts=tuple(Fact(what, _fact(known.get(name))) for name, what in words.ROPE_FACTS.items()),
    )


def _fact(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return quantity_words(value)
    return str(value).replace("_", " ") if value else words.UNKNOWN


def _losses(said: Body) -> tuple[Fact, ...]:
    return tuple(
        Fact(what, quantity_words(said[name]))
        for name, what in words.LOSSES.items()
        if said.get(name)
    )


def _place(pair: Body, order: int) -> str:
    position = quantity_words(pair.get("position"))
    return f"at {position}" if position else f"place {order}"


def _count(said: Body) -> WireCount:
    zone = words.ZONE.get(str(said.get("zone") or ""), "in all zones")
    window = window_words(said.get("window"))
    what = f"Broken wires in {window}, {zone}"
    if said.get("in_one_strand") is not None:
        what += f" (the most in any one strand, in {_any(window)}: {said['in_one_strand']})"
    return WireCount(what, str(said.get("number", "")))


def _any(window: str) -> str:
    """Wherever it lies: the strand's worst length need not be that of the whole count."""
    return window if window.startswith("the ") else f"any {window}"


def window_words(window: Any) -> str:
    """A length of rope in words.

    >>> window_words(["lay", 1]), window_words(["diameters", 6]), window_words(["whole_rope"])
    ('one lay', '6 diameters', 'the whole rope')
    """
    kind, amount = (*(window or ["a length not stated"]), None)[:2]
    if kind == "whole_rope":
        return "the whole rope"
    if isinstance(amount, Mapping):
        return quantity_words(amount)
    if amount is None:
        return str(kind)
    name = str(kind).removesuffix("s")
    return f"one {name}" if amount == 1 else f"{amount} {name}s"


def _wire(said: Body) -> WireCount:
    strand = f", strand {said['strand']}" if said.get("strand") is not None else ""
    zone = words.ZONE.get(str(said.get("zone") or ""), "zone not stated")
    return WireCount(
        f"Broken wire at {quantity_words(said.get('position')) or 'a place not stated'}{strand}, {zone}",
        "1",
    )


def _conditions(said: Mapping[str, Any], answer: bool | None) -> tuple[str, ...]:
    return tuple(CONDITIONS.get(name, name) for name, seen in said.items() if seen is answer)
