"""Both engines on the same vectors."""

from __future__ import annotations

import gzip
import json
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from rigging.engine import RopeFacts, RopeObservation, RuleSet, judge_rope
from tests.second_engine.judging import STATES, Answer, judge
from tests.second_engine.lots import Vector, of_files, of_product

SHARED = Path(__file__).parents[1] / "vectors" / "judge.jsonl.gz"
TOLD = ("state", "verdict", "clause")


@dataclass
class Tally:
    """How many were asked, what the product said of them, and which answers differ."""

    examples: int = 0
    differing: int = 0
    unsafe: int = 0
    states: Counter[str] = field(default_factory=Counter)
    disagreements: list[tuple[Vector, Answer, Answer]] = field(default_factory=list)

    def add(self, vector: Vector, ours: Answer, theirs: Answer) -> None:
        self.examples += 1
        self.states[theirs["state"]] += 1
        if ours != theirs:
            self.differing += 1
            self.unsafe += STATES.index(theirs["state"]) < STATES.index(ours["state"])
            self.disagreements.append((vector, ours, theirs))

    def take(self, other: Tally) -> None:
        self.examples += other.examples
        self.differing += other.differing
        self.unsafe += other.unsafe
        self.states.update(other.states)


def compared(vectors: Iterable[Vector]) -> Tally:
    """The product's answers beside ours: the judgement and every criterion that applies."""
    tally, product, rules = Tally(), of_product(), of_files()
    for vector in vectors:
        ours = judge(vector["rope"], vector["observation"], rules[vector["ruleset"]])
        tally.add(vector, ours, answer_of_product(vector, product[vector["ruleset"]]))
    return tally


def answer_of_product(vector: Vector, ruleset: RuleSet) -> Answer:
    rope = RopeFacts.from_dict(vector["rope"])
    seen = RopeObservation.from_dict(vector["observation"])
    told = judge_rope(rope, seen, ruleset).to_dict()
    results = [
        [each["clause"], each["verdict"], each["state"]]
        for each in told["results"]
        if each["verdict"] != "does not apply"
    ]
    return {name: told[name] for name in TOLD} | {"results": results}


def shared_vectors() -> Iterator[Vector]:
    with gzip.open(SHARED, "rt", encoding="utf-8") as lines:
        yield from (json.loads(line) for line in lines)
