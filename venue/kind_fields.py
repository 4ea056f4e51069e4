"""Check typed field values against a kind file, and show stored ones. Pure.

Stored forms, all fit for JSON: a quantity as `Quantity.stored()`, a whole number as int, yes or
no as bool, a date as ISO text, text and choices as text. An empty field is not stored at all, so
a missing datum stays missing and is never taken for a zero or a no.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from venue.kind_shapes import Field, FieldFault, PartKind, StoredFields
from venue.quantities import Quantity, UnreadableQuantity, read_quantity

LONGEST_TEXT = 500
EARLIEST_YEAR = 1800  # older machinery than this is not in use; a year 24 is a typing slip
LATEST_YEAR = 2199


def read_fields(
    kind: PartKind, raw: Mapping[str, str], unit_habit: str
) -> tuple[StoredFields, list[FieldFault]]:
    """The stored values of what was typed, and every fault by field."""
    stored: StoredFields = {}
    faults = [
        FieldFault(name, f"“{name}” is not a field of {kind.slug}.")
        for name in raw
        if kind.field(name) is None
    ]
    for field in kind.fields:
        text = raw.get(field.name, "").strip()
        if not text:
            if field.required:
                faults.append(FieldFault(field.name, f"{field.label}: this is needed."))
            continue
        try:
            stored[field.name] = _read(field, text, unit_habit)
        except ValueError as fault:
            faults.append(FieldFault(field.name, f"{field.label}: {fault}"))
    return stored, faults


def _read(field: Field, text: str, unit_habit: str) -> Any:
    if field.type == "quantity":
        return read_quantity(text, field.dimension, field.unit(unit_habit)).stored()
    return _READERS[field.type](field, text)


def _read_text(_field: Field, text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"{LONGEST_TEXT} characters at most.")
    return text


def _read_whole_number(_field: Field, text: str) -> int:
    if not (text.isascii() and text.isdecimal()) or len(text) > 6:
        raise ValueError("type a whole number, 0 or more.")
    return int(text)


def _read_choice(field: Field, text: str) -> str:
    if text not in field.choices:
        raise ValueError(f"choose one of: {', '.join(map(in_words, field.choices))}.")
    return text


def _read_yes_no(_field: Field, text: str) -> bool:
    if text not in ("yes", "no"):
        raise ValueError("answer yes or no.")
    return text == "yes"


def _read_date(_field: Field, text: str) -> str:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise ValueError("there is no such day; type year-month-day, like 2024-02-29.") from None
    if not EARLIEST_YEAR <= day.year <= LATEST_YEAR:
        raise ValueError(f"the year {day.year} cannot be right.")
    return day.isoformat()


_READERS = {
    "text": _read_text,
    "whole_number": _read_whole_number,
    "choice": _read_choice,
    "yes_no": _read_yes_no,
    "date": _read_date,
}


def show_field(field: Field, stored_value: Any) -> str:
    """A stored value in words; a quantity as it was typed, with its unit."""
    if stored_value is None:
        return "not known"
    if field.type == "quantity":
        return show_quantity(Quantity.from_stored(stored_value))
    if field.type == "yes_no":
        return "yes" if stored_value else "no"
    if field.type == "choice":
        return in_words(stored_value)
    return str(stored_value)


def show_quantity(quantity: Quantity) -> str:
    """As typed; the usual unit is added where only a number was typed."""
    try:
        read_quantity(quantity.typed, quantity.dimension, allow_negative=True)
    except UnreadableQuantity:
        return f"{quantity.typed} {quantity.unit}"
    return quantity.typed


def in_words(choice: str) -> str:
    return choice.replace("_", " ")


def field_text(field: Field, stored_value: Any) -> str:
    """A stored value as a person would type it again, for a form that is opened anew."""
    if stored_value is None:
        return ""
    if field.type == "choice":
        return str(stored_value)
    return show_field(field, stored_value)
