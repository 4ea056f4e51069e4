"""The rules that a venue begins with, from their file. Pure."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from venue.calendar.kinds import ANYWHERE, KindRule

FILE = Path(__file__).with_name("starting_rules.toml")


@cache
def starting_rules() -> tuple[KindRule, ...]:
    rows = tomllib.loads(FILE.read_text(encoding="utf-8"))["rule"]
    return tuple(
        KindRule(
            row["words"], row.get("where", ANYWHERE), row["what"], tuple(row.get("leaves", ()))
        )
        for row in rows
    )
