"""One change after the other, and who catches it."""

from __future__ import annotations

import shutil
import tempfile
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from tests.tamper.evidence import Evidence
from tests.tamper.forgeries import CHANGES
from tests.tamper.tools import OURS, TOOLS

AT_ONCE = 4


@dataclass
class Caught:
    """Of each kind of change: how many were made, and how many each tool caught."""

    made: Counter[str] = field(default_factory=Counter)
    by: Counter[tuple[str, str]] = field(default_factory=Counter)
    uncaught: list[str] = field(default_factory=list)  # by none of the stranger's tools
    missed: list[str] = field(default_factory=list)  # by verify_evidence

    @property
    def line(self) -> str:
        return f"changes={sum(self.made.values())} uncaught={len(self.uncaught)}"


def objecting(bag: Path, evidence: Evidence) -> set[str]:
    """Each is asked, at the same time: most are programs of their own."""
    with ThreadPoolExecutor(AT_ONCE) as beside:
        asked = {name: beside.submit(objects, bag, evidence) for name, objects in TOOLS.items()}
    return {name for name, said in asked.items() if said.result()}


def tampered(evidence: Evidence, kind: str, seed: str) -> tuple[str, set[str]]:
    """What was done to a fresh copy, and the tools that object."""
    with tempfile.TemporaryDirectory(prefix="loftbook-tamper-") as folder:
        bag = Path(folder) / evidence.bag.name
        shutil.copytree(evidence.bag, bag)
        said = CHANGES[kind](bag, Random(seed), evidence)
        return said, objecting(bag, evidence)


def run(evidence: Evidence, changes: int, seed: int) -> Caught:
    """Every kind in turn. Raises where a tool objects to the bundle as it was made: it would then
    prove nothing that it objects to another."""
    if unchanged := objecting(evidence.bag, evidence):
        raise AssertionError(f"the bundle as it was made is refused by {sorted(unchanged)}")
    found, kinds = Caught(), list(CHANGES)
    for number in range(changes):
        kind = kinds[number % len(kinds)]
        said, tools = tampered(evidence, kind, f"{seed} {number}")
        found.made[kind] += 1
        found.by.update((kind, tool) for tool in tools)
        if not tools - {OURS}:
            found.uncaught.append(f"{kind}: {said} (number {number})")
        if OURS not in tools:
            found.missed.append(f"{kind}: {said} (number {number})")
    return found
