"""What a run has behind it, so that one that was stopped goes on where it was.

One line for each lot without a disagreement, with a hash of all that its answers come from: both
engines, the rule set and the generators. A line of another hash counts for nothing.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

from tests.second_engine.comparing import Tally
from tests.second_engine.lots import Lot, of_files

PROJECT = Path(__file__).parents[2]
FILE = PROJECT / "var" / "second_engine.jsonl"
CODE = (
    "rigging/engine/*.py", "venue/quantit*.py", "tests/second_engine/*.py", "tests/vectors/ropes.py",
)  # fmt: skip


@cache
def hash_of(ruleset: str) -> str:
    """Of everything that the answers for a rule set come from."""
    files = sorted(file for pattern in CODE for file in PROJECT.glob(pattern))
    told = [hashlib.sha256(file.read_bytes()).hexdigest() for file in files]
    told.append(json.dumps(of_files()[ruleset], sort_keys=True))
    return hashlib.sha256("\n".join(told).encode()).hexdigest()


def keep(lot: Lot, tally: Tally, file: Path = FILE) -> None:
    """A lot with a disagreement is not kept: it is asked, and shown, every time."""
    if tally.differing:
        return
    file.parent.mkdir(exist_ok=True)
    line = asdict(lot) | {"hash": hash_of(lot.ruleset), "states": tally.states}
    # Begun on a line of its own: the last run may have been stopped in the middle of one.
    with file.open("a", encoding="utf-8") as lines:
        lines.write(f"\n{json.dumps(line)}\n")


def kept(file: Path = FILE) -> dict[Lot, Tally]:
    """The lots that need not be asked again."""
    found = {}
    for said in said_in(file):
        lot = Lot(**{name: said[name] for name in Lot.__dataclass_fields__})
        if lot.ruleset in of_files() and said["hash"] == hash_of(lot.ruleset):
            found[lot] = Tally(examples=lot.size, states=Counter(said["states"]))
    return found


def said_in(file: Path) -> Iterator[dict[str, Any]]:
    """Of every whole line: the last one may have been cut off when the run was stopped."""
    for line in file.read_text(encoding="utf-8").splitlines() if file.exists() else ():
        with suppress(json.JSONDecodeError):
            yield json.loads(line)
