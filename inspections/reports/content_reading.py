"""Reads back the content of a report that was kept as JSON."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints

from inspections.reports.content import Report


def report_from(told: dict[str, Any]) -> Report:
    """The same content: what `asdict` made of it, and JSON of that."""
    return _object(Report, told)


def _object(kind: Any, told: dict[str, Any]) -> Any:
    """An instance of a frozen class of the content.

    >>> from inspections.reports.content import Party
    >>> _object(Party, {"name": "The Larkspur", "address": "4 Quay Row"})
    Party(name='The Larkspur', address='4 Quay Row')
    """
    hints = get_type_hints(kind)
    # What a later edition added has a default: a job may have been asked for before it came.
    known = [each.name for each in fields(kind) if each.name in told]
    return kind(**{name: _value(hints[name], told[name]) for name in known})


def _value(hint: Any, told: Any) -> Any:
    """What stands in a field, by the field's own type.

    >>> from inspections.reports.content import Party
    >>> _value(tuple[str, ...], ["a", "b"]), _value(Party | None, None), _value(int, 3)
    (('a', 'b'), None, 3)
    """
    if isinstance(hint, UnionType):  # something, or None
        return None if told is None else _value(get_args(hint)[0], told)
    if get_origin(hint) is tuple:
        return tuple(_value(get_args(hint)[0], each) for each in told)
    return _object(hint, told) if is_dataclass(hint) else told
