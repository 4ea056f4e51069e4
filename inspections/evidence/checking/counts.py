"""Whether a bundle holds as much as it says of itself."""

from __future__ import annotations

import csv
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from inspections.evidence.checking.checked import Checked, judged

# Counted as files, not as rows of a table of the same name.
WITHOUT_TABLE = {"photographs_and_documents"}


def check_counts(data: Path, tallies: dict[str, str]) -> Checked:
    """Each table has as many rows, and of each outcome, as completeness.json says.
    `tallies` names the column that is counted, by table."""
    said = json.loads((data / "completeness.json").read_text(encoding="utf-8"))
    faults = []
    for name, counts in said["counts"].items():
        if name not in WITHOUT_TABLE:
            found = sum(1 for _ in rows_of(data / f"{name}.csv"))
            if found != counts["in this bundle"]:
                faults.append(f"{name}.csv has {found} rows; {counts['in this bundle']} are said.")
        if counts["in this bundle"] > counts["in the whole book"]:
            faults.append(f"More {name} are said to be here than in the whole book.")
    for name, told in said["by outcome"].items():
        counted = Counter(row[tallies[name]] for row in rows_of(data / f"{name}.csv"))
        if counted != told:
            faults.append(f"{name}.csv has other outcomes than are said.")
    return judged("Complete", _in_words(said), faults)


def _in_words(said: dict[str, Any]) -> str:
    words = ", ".join(
        f"{counts['in this bundle']} of {counts['in the whole book']} {name.replace('_', ' ')}"
        for name, counts in said["counts"].items()
    )
    missing = len(said["files that could not be included"])
    return f"{words}. Could not be included: {missing} files." if missing else f"{words}."


def rows_of(path: Path) -> Iterator[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as table:
        yield from csv.DictReader(table)
