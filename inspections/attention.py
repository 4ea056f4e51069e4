"""Small questions that vary from check to check, from attention.toml. Never judged. Pure."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("attention.toml")


@cache
def attention_items() -> tuple[dict[str, object], ...]:
    """As the phone asks them: `slug`, `question`, `choices`, `why`. The phone draws one by the id
    of the check, so that the same check asks the same one."""
    return tuple(tomllib.loads(FILE.read_text(encoding="utf-8"))["item"])
