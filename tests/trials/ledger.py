"""What the phone said it saved, against what the server stores."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path


@dataclass(frozen=True)
class Entered:
    """One check that the page called saved."""

    id: str
    sha256: str
    who: str
    remark: str


@dataclass
class Count:
    trials: int = 0
    entered: int = 0
    stored: int = 0
    lost: int = 0
    doubled: int = 0
    wrong_name: int = 0
    other_bytes: int = 0
    sendings: int = 0
    faults: dict[str, int] = field(default_factory=dict)

    @property
    def line(self) -> str:
        return (
            f"trials={self.trials} entered={self.entered} stored={self.stored} lost={self.lost} "
            f"doubled={self.doubled} wrong_name={self.wrong_name}"
        )

    @property
    def clean(self) -> bool:
        kept = self.entered == self.stored > 0
        return kept and not (self.lost or self.doubled or self.wrong_name or self.other_bytes)


def count(entered: list[Entered], database: Path, trials: int) -> Count:
    """Compare every entry by id, name, remark and bytes with the rows in the database."""
    found = Count(trials=trials, entered=len(entered))
    with sqlite3.connect(database, timeout=30) as rows:
        emails = dict(rows.execute("SELECT id, email FROM venue_person"))
        records = rows.execute("SELECT id, by_id, remark FROM inspections_record").fetchall()
        sent = dict(rows.execute("SELECT id, body FROM inspections_sent"))
    by_remark: dict[str, list[tuple[str, int]]] = {}
    for key, by, remark in records:
        by_remark.setdefault(remark, []).append((key, by))
    for entry in entered:
        mine = by_remark.get(entry.remark, [])
        found.lost += not mine
        found.doubled += len(mine) > 1
        for key, by in mine[:1]:
            name_right = emails[by] == f"{entry.who}@larkspur.example"
            body = sent.get(key, "")
            bytes_right = sha256(body.encode()).hexdigest() == entry.sha256
            found.wrong_name += not name_right
            found.other_bytes += not (bytes_right and key == entry.id.replace("-", ""))
            found.stored += len(mine) == 1 and name_right and bytes_right
    # A check the page had not yet called saved may be stored too; never more than once.
    found.doubled += sum(len(mine) > 1 for remark, mine in by_remark.items() if remark) - sum(
        len(by_remark.get(entry.remark, [])) > 1 for entry in entered
    )
    return found
