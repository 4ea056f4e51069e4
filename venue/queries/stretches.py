"""A list that may be too long to be read at once is read in stretches, by key: nothing is counted and
nothing skipped over, so the last stretch costs what the first does."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db.models import Field, Model, Q, QuerySet
from django.utils.timezone import is_naive

from venue.table_shapes import Stretch

M = TypeVar("M", bound=Model)
BETWEEN = "~"


def stretch_of(rows: QuerySet[M], order: Sequence[str], past: str, most: int) -> Stretch[M]:
    """At most so many rows past the key. `order`: fields of the row that are never empty, as for
    `order_by`, the last of which tells rows apart. A key that cannot be read begins at the first."""
    after = _read(rows.model, order, past)
    if after:
        rows = rows.filter(_past(order, after))
    there = list(rows.order_by(*order)[: most + 1])
    more = _key(there[most - 1], order) if len(there) > most else ""
    return Stretch(there[:most], more, begun=bool(after))


def _past(order: Sequence[str], after: Sequence[Any]) -> Q:
    """Past the first field, or level with it and past the second, and so on."""
    found, level = Q(), Q()
    for name, value in zip(order, after, strict=True):
        field = name.removeprefix("-")
        way = "lt" if name.startswith("-") else "gt"
        found |= level & Q(**{f"{field}__{way}": value})
        level &= Q(**{field: value})
    return found


def _key(row: Model, order: Sequence[str]) -> str:
    values = (getattr(row, name.removeprefix("-")) for name in order)
    return BETWEEN.join(v.isoformat() if hasattr(v, "isoformat") else str(v) for v in values)


def _read(model: type[Model], order: Sequence[str], past: str) -> list[Any]:
    texts = past.split(BETWEEN)
    if len(texts) != len(order):
        return []
    try:
        return [_value(model, name, text) for name, text in zip(order, texts, strict=True)]
    except (ValidationError, ValueError, OverflowError):
        return []


def _value(model: type[Model], name: str, text: str) -> Any:
    field = name.removeprefix("-")
    found = model._meta.pk if field == "pk" else model._meta.get_field(field)
    assert isinstance(found, Field)
    value = found.to_python(text)
    if isinstance(value, datetime) and is_naive(value):
        raise ValueError("A moment without its zone is none.")
    # At the ends of time a moment of another zone is no moment of ours: OverflowError.
    return value.astimezone(UTC) if isinstance(value, datetime) else value
