"""Verdicts a second in one process, against the cost of parsing the same JSON.

`python -m bench.judge [N]`. Parsing is told twice: the text into plain objects, and the text into
exact facts and observations, which is what a verdict needs.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from typing import Any

from rigging.engine import RopeFacts, RopeObservation, RuleSet, judge_rope, load_rulesets
from tests.vectors.ropes import rope_vectors

ROUNDS = 5
Read = tuple[RopeFacts, RopeObservation, RuleSet]


def measured(work: Callable[[], object], number: int) -> float:
    """Microseconds for one, the best of several rounds: the others were disturbed."""
    times = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times) / number * 1e6


def main(words: list[str]) -> int:
    number = int(words[0]) if words else 2000
    rulesets = load_rulesets()
    texts = [json.dumps(vector) for vector in rope_vectors(1, number, rulesets)]

    def read(asked: dict[str, Any]) -> Read:
        rope = RopeFacts.from_dict(asked["rope"])
        return rope, RopeObservation.from_dict(asked["observation"]), rulesets[asked["ruleset"]]

    plain = measured(lambda: [json.loads(text) for text in texts], number)
    parsed = measured(lambda: [read(json.loads(text)) for text in texts], number)
    asked = [read(json.loads(text)) for text in texts]
    judged = measured(lambda: [judge_rope(*each) for each in asked], number)
    told = {
        "verdicts": number, "rulesets": len(rulesets), "verdicts_per_second": round(1e6 / judged),
        "plain_json_us": round(plain, 1), "parsed_us": round(parsed, 1), "judged_us": round(judged, 1),
        "judged_over_parsed": round(judged / parsed, 2),
        "judged_over_plain_json": round(judged / plain, 1),
    }  # fmt: skip
    print(json.dumps(told))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
