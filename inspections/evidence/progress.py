"""How far the making of a bundle has come. One thread counts, another may look."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

# The first part of a file's path in the bundle, in words.
PARTS = {
    "records": "the records",
    "signatures": "the signatures of checks",
    "reports": "the signed reports",
    "photographs": "the photographs and documents",
    "voice-notes": "the voice notes",
    "drawn-signatures": "the drawn signatures",
    "rules": "the rules that were used",
    "log.jsonl": "the log",
    "names.csv": "the names",
    "heads.jsonl": "the log",
    "head.json": "the log",
    "head.json.p7s": "the log",
    "completeness.json": "the counts and the seal",
}


def _on() -> None:
    """Nobody stops it."""


@dataclass
class Progress:
    """Files written so far, of about how many. `on` is asked before each file; raising stops."""

    on: Callable[[], None] = field(default=_on)
    done: int = 0
    of: int = 0
    now: str = ""

    def file(self, name: str) -> None:
        self.on()
        self.now = PARTS.get(name.split("/")[0], "the tables")
        self.done += 1

    def told(self) -> dict[str, Any]:
        """For the row of the job; never more than all of it.

        >>> Progress(done=12, of=10, now="the log").told()
        {'done': 10, 'of': 10, 'now': 'the log'}
        """
        return {"done": min(self.done, self.of), "of": self.of, "now": self.now}


def files_expected(counted: dict[str, int], tables: int) -> int:
    """About how many files a bundle will hold: tables, register, log, and one or two of each."""
    register_isolations_rules_and_log = 10
    names = (
        "records", "reports", "countersignatures", "voice_notes_and_drawn_signatures", "messages_kept_aside",
    )  # fmt: skip
    one_each = sum(counted[name] for name in names) + 5 * counted["signatures"]
    return (
        tables
        + register_isolations_rules_and_log
        + one_each
        + 2 * counted["photographs_and_documents"]
    )
