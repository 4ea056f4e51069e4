"""What people do often, found by the names they call it: read from `find_actions.toml`. Pure."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from venue.folding import folded
from venue.roles import MAY, may

FILE = Path(__file__).with_name("find_actions.toml")


class ActionRefused(ValueError):
    """Names the file and the fault."""


@dataclass(frozen=True)
class FindAction:
    """An address of the venue, who may open it, and the words that lead there. `everywhere`: it
    belongs to no venue."""

    name: str
    words: str
    url: str
    right: str
    query: str = ""
    of_equipment: bool = False
    alone: str = ""
    everywhere: bool = False

    def told(self, said: Callable[[str], str]) -> str:
        """Its names in the language of the page, then in English: either finds it."""
        ours = f"{self.name} {self.words}"
        theirs = f"{said(self.name)} {said(self.words)}"
        return folded(ours if theirs == ours else f"{theirs} {ours}")


def read_actions(text: str) -> tuple[FindAction, ...]:
    """Raises ActionRefused."""
    try:
        found = tuple(FindAction(**each) for each in tomllib.loads(text)["action"])
    except (KeyError, TypeError, tomllib.TOMLDecodeError) as fault:
        raise ActionRefused(f"{FILE.name}: {fault}") from fault
    for each in found:
        if each.right not in MAY:
            raise ActionRefused(f"{FILE.name}: {each.name}: there is no right {each.right!r}")
    return found


@cache
def find_actions() -> tuple[FindAction, ...]:
    return read_actions(FILE.read_text(encoding="utf-8"))


def actions_for(role: str, words: list[str], said: Callable[[str], str] = str) -> list[FindAction]:
    """Those the role may do in which every word stands; those that begin with the first word first.

    >>> [each.name for each in actions_for("auditor", ["bundle"])]
    ['Make an evidence bundle']
    >>> [each.name for each in actions_for("stagehand", ["take", "out"])]
    ['Take out of service']
    """
    mine = [each for each in find_actions() if may(role, each.right)]
    if not words:
        return mine
    told = {each.name: each.told(said) for each in mine}
    found = [each for each in mine if all(word in told[each.name] for word in words)]
    return sorted(found, key=lambda each: not told[each.name].startswith(words[0]))
