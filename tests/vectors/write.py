"""`python -m tests.vectors.write`: the shared file of vectors, made anew from the rule sets.

What the engine says of each is kept as its own output: the file proves that the server and the
phone agree and that nothing changes unnoticed, not that a verdict is right. That is what the
published figures and the second engine are for.
"""

from __future__ import annotations

import gzip
import json
from collections.abc import Iterator, Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

from rigging.engine import RopeFacts, RopeObservation, RuleSet, judge_rope
from tests.vectors.ropes import every_ruleset, rope_vectors

FILE = Path(__file__).with_name("judge.jsonl.gz")
COUNT = 10_800
SEED = 4309
TOLD = ("state", "verdict", "clause")


def judged(vector: dict[str, Any], rulesets: Mapping[str, RuleSet]) -> dict[str, Any]:
    """The engine's whole answer to a vector."""
    rope = RopeFacts.from_dict(vector["rope"])
    seen = RopeObservation.from_dict(vector["observation"])
    return judge_rope(rope, seen, rulesets[vector["ruleset"]]).to_dict()


def answered(vector: dict[str, Any], rulesets: Mapping[str, RuleSet]) -> dict[str, Any]:
    """The answer in short, with the hash of the whole of it."""
    told = judged(vector, rulesets)
    return {name: told[name] for name in TOLD} | {"sha256": hash_of(told)}


def hash_of(told: dict[str, Any]) -> str:
    """Of the whole answer, as sorted JSON."""
    plain = json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return sha256(plain.encode()).hexdigest()


def read_vectors() -> Iterator[dict[str, Any]]:
    with gzip.open(FILE, "rt", encoding="utf-8") as lines:
        yield from (json.loads(line) for line in lines)


def main() -> None:
    rulesets = every_ruleset()
    with FILE.open("wb") as raw, gzip.GzipFile("", "wb", 9, raw, mtime=0) as packed:
        for vector in rope_vectors(SEED, COUNT, rulesets):
            line = json.dumps(vector | {"answer": answered(vector, rulesets)}, ensure_ascii=False)
            packed.write(f"{line}\n".encode())


if __name__ == "__main__":
    main()
