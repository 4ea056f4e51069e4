"""The planner's house as text, the same for the same house, and its hash. Pure."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

from inspections.planning.house import House


def house_sha256(house: House) -> str:
    """Of everything a plan was made from."""
    text = json.dumps(_plain(house), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(value: Any) -> Any:
    """Lists, maps, text and numbers; what has no order is sorted by its own text."""
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: _plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    if isinstance(value, frozenset | set):
        return sorted((_plain(each) for each in value), key=json.dumps)
    if isinstance(value, tuple | list):
        return [_plain(each) for each in value]
    return value.isoformat() if isinstance(value, date) else value
