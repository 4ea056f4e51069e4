"""What a question and an answer are, before anything is stored. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from inspections.regime_shapes import Check
from rigging.engine import RopeFacts, RopeObservation
from rigging.engine.figures import shown, with_unit
from venue.quantities import (
    UNITS,
    Quantity,
    UnreadableQuantity,
    looks_far_off,
    read_quantity,
    show_exact,
)
from venue.quantity_units import find_unit

# A field no form has: this answer came from a phone, open, and nobody can be asked any more. What is
# missing is then not known. Only the receiver sets it, and only to keep a bad answer.
AS_ARRIVED = "as_arrived"


@dataclass(frozen=True)
class Before:
    """The reading of the time before. It is told after the new one is given, never sooner."""

    quantity: Quantity
    day: str  # as it is shown, in the venue's calendar

    def change_to(self, now: Quantity) -> str:
        """How the new reading differs, in the unit of the time before.

        >>> gap = read_quantity("6.1 mm", "length")
        >>> Before(gap, "3 May 2026").change_to(read_quantity("6.4 mm", "length"))
        'Last time 6.1 mm, on 3 May 2026: 0.3 mm more now.'
        """
        last = self.quantity
        if (last.dimension, last.scale) != (now.dimension, now.scale):
            return f"Last time {last.typed}, on {self.day}."
        change = now.si - last.si
        size = shown(abs(change) / UNITS[last.unit].factor, None, 4)
        words = f"{with_unit(size, last.unit)} {'more' if change > 0 else 'less'}"
        told = show_exact(last.si, last.unit)
        return f"Last time {told}, on {self.day}: {words if change else 'the same'} now."


def question_key(check_slug: str, part_id: int | None) -> str:
    """How a form, a draft and a phone name one question.

    >>> question_key("gap", None), question_key("rope", 12)
    ('gap', 'rope.12')
    """
    return f"{check_slug}.{part_id}" if part_id else check_slug


@dataclass(frozen=True)
class Question:
    """One check, asked once per part where the check asks per part."""

    key: str
    check: Check
    part_id: int | None = None
    part_label: str = ""
    rope: RopeFacts | None = None
    expected: Fraction | None = None  # last reading or nominal, SI: only to ask again when far off
    usual_unit: str = ""
    before: Before | None = None


@dataclass(frozen=True)
class Measured:
    what: str
    quantity: Quantity
    instrument: str = ""
    uncertainty: Quantity | None = None


@dataclass
class ReadAnswer:
    """An answer as understood, and every fault by field in plain words."""

    question: Question
    given: str = ""
    text: str = ""
    reason: str = ""
    measured: list[Measured] = field(default_factory=list)
    observation: RopeObservation | None = None
    grade: Mapping[str, str] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)
    # Far off what was expected: asked again, not refused.
    asked_again: dict[str, str] = field(default_factory=dict)

    @property
    def complete(self) -> bool:
        return bool(self.given) and not self.faults and not self.asked_again


def read_typed_quantity(
    answer: ReadAnswer,
    typed: Mapping[str, str],
    name: str,
    dimension: str,
    unit: str,
    far: bool = True,
) -> Quantity | None:
    """The quantity typed in one field, or None with the fault noted on the answer."""
    text = typed.get(name, "").strip()
    if not text:
        answer.faults[name] = "Measure and type the value, or say that you could not look."
        return None
    if unit and find_unit(unit, dimension) is None:
        answer.faults[name] = f"“{unit}” is not a unit of this field: choose one that is."
        return None
    try:
        value = read_quantity(
            text,
            dimension,
            unit or answer.question.usual_unit or None,
            allow_negative=_signed(answer),
        )
    except UnreadableQuantity as fault:
        answer.faults[name] = str(fault)
        return None
    if far and typed.get(f"sure_{name}") != "yes":
        _ask_again(answer, name, value)
    return value


def _signed(answer: ReadAnswer) -> bool:
    minimum = answer.question.check.minimum
    return minimum is not None and minimum.si < 0


def _ask_again(answer: ReadAnswer, name: str, value: Quantity) -> None:
    expected = answer.question.expected
    if expected and looks_far_off(value.si, expected):
        answer.asked_again[name] = (
            f"{value.typed} is far from what was expected here. Look at the unit and the point, "
            "then correct it or say that it really is so."
        )
