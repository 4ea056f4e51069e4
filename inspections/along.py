"""What goes along with a check besides its photographs: voice notes, a drawn signature. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

VOICE, DRAWN = "voice", "drawn"
TO_COME = {VOICE: "voice_to_come", DRAWN: "drawn_to_come"}
UNKEEPABLE = re.compile(r"[\x00\ud800-\udfff]")
LONGEST_QUESTION = 160
MOST = 200


@dataclass(frozen=True)
class Along:
    """One of them, by the SHA-256 of its bytes as sent. Without a question: of the whole check."""

    what: str
    question: str
    sha256: str

    def to_dict(self) -> dict[str, str]:
        return {"what": self.what, "question": self.question, "sha256": self.sha256}


def read_along(said: Iterable[Mapping[str, Any]] | None) -> tuple[Along, ...]:
    """As a phone announces them; what it calls otherwise is nothing this knows."""
    rows = [
        Along(_clean(row["what"]), _clean(row["question"]), _clean(row["sha256"]))
        for row in list(said or ())[:MOST]
    ]
    return tuple(row for row in rows if row.what in TO_COME)


def _clean(value: object) -> str:
    return UNKEEPABLE.sub("\ufffd", str(value))[:LONGEST_QUESTION]


def spoken_for(along: Iterable[Along], question: str) -> list[str]:
    return [each.sha256 for each in along if each.what == VOICE and each.question == question]


def drawn_in(along: Iterable[Along]) -> str:
    """The drawn signature; the last one counts."""
    return next((each.sha256 for each in reversed(list(along)) if each.what == DRAWN), "")
