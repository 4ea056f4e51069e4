"""One mail before it is sent. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

BYTES = "application/octet-stream"


@dataclass(frozen=True)
class Letter:
    """To one address, so that nobody learns who else is written to. `files`: name, bytes, kind."""

    to: str
    subject: str
    words: str
    html: str = ""
    headers: Mapping[str, str] = field(default_factory=dict)
    files: Sequence[tuple[str, bytes, str]] = ()
