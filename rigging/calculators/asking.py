"""A calculator as a form: its fields as filled, what each was read as, and the answer. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.answering import answer, check_value
from rigging.calculators.contract import Answer, BadValue, Calculator, Input, Value
from rigging.calculators.reading import read_fields
from rigging.calculators.showing import both_habits, figure_text, other_habit
from venue.quantities import Quantity

# What a value is shown in beside its field, to be compared with what was meant.
READ_AS = {
    "length": "mm", "mass": "kg", "force": "kN", "load": "kN", "speed": "m/s", "pressure": "kN/m2",
    "torque": "N m", "mass per length": "kg/m", "line load": "kN/m", "area": "m2", "time": "s",
    "angle": "deg",
}  # fmt: skip
# From this SI value on another unit is read more easily: a metre, an hour, ten megapascal.
LARGE = {
    "length": (Fraction(1), "m"), "time": (Fraction(3600), "h"),
    "pressure": (Fraction(10_000_000), "MPa"),
}  # fmt: skip


@dataclass(frozen=True)
class Field:
    asked: Input
    text: str
    read_as: str = ""
    fault: str = ""


@dataclass(frozen=True)
class Line:
    """A figure as shown: the label, the text, the same in the other habit."""

    label: str
    text: str
    other: str


@dataclass(frozen=True)
class Asked:
    """One calculator as asked: `answer` is None where nothing was sent or a field is faulty."""

    calculator: Calculator
    fields: tuple[Field, ...]
    answer: Answer | None
    sent: bool

    @property
    def faulty(self) -> bool:
        return any(field.fault for field in self.fields)

    @property
    def lines(self) -> list[Line]:
        figures = self.answer.figures if self.answer else ()
        return [Line(one.label, figure_text(one), other_habit(one)) for one in figures]


def ask(calculator: Calculator, sent: Mapping[str, str]) -> Asked:
    """The form as filled by what an address carries; whatever is not asked here is passed over."""
    typed = {one.slug: sent[one.slug] for one in calculator.inputs if one.slug in sent}
    read, faults = read_fields(calculator, typed)
    for slug, value in read.items():
        asked = calculator.input(slug)
        assert asked
        try:
            check_value(asked, value)
        except BadValue as fault:
            faults[slug] = fault.sentence
    fields = tuple(
        Field(one, typed.get(one.slug, one.default), _read_as(one, read.get(one.slug)),
              faults.get(one.slug, ""))
        for one in calculator.inputs
    )  # fmt: skip
    found: Answer | None = None
    if typed and not faults:
        try:
            found = answer(calculator, read)
        except BadValue as fault:
            fields = tuple(_with_fault(field, fault) for field in fields)
    return Asked(calculator, fields, found, bool(typed))


def _with_fault(field: Field, fault: BadValue) -> Field:
    """A value that only the computation could find bad."""
    if field.asked.slug != fault.slug:
        return field
    return Field(field.asked, field.text, field.read_as, fault.sentence)


def _read_as(asked: Input, value: Value | None) -> str:
    if value is None or asked.dimension == "choice":
        return ""
    return "; ".join(_one(asked, one) for one in (value if asked.many else (value,)))


def _one(asked: Input, value: Value) -> str:
    if isinstance(value, Quantity):
        return _shown(value.dimension, value.si)
    if isinstance(asked.dimension, tuple):
        pairs = zip(asked.dimension, value, strict=True)
        return " · ".join(_shown(dimension, part) for dimension, part in pairs)
    return _shown(asked.dimension, value)


def _shown(dimension: str, value: Fraction) -> str:
    unit = READ_AS.get(dimension, "")
    if not unit:
        return ""
    large, in_large = LARGE.get(dimension, (None, ""))
    if large is not None and abs(value) >= large:
        unit = in_large
    return both_habits(value, unit, 6)
