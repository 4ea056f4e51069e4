"""How the floor of a place is drawn, by the kinds that stand there. Pure."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("floors.toml")
SOLID = "solid"


@cache
def floors() -> dict[str, str]:
    """The look of the floor that each kind brings."""
    said = tomllib.loads(FILE.read_text(encoding="utf-8"))
    return {kind: floor for floor, kinds in said.items() for kind in kinds}


def floor_of(kinds: Iterable[str]) -> str:
    """Of a place that holds these kinds.

    >>> floor_of(["fall_arrest_anchor", "gridiron"]), floor_of([])
    ('open', 'solid')
    """
    return next((floors()[kind] for kind in kinds if kind in floors()), SOLID)
