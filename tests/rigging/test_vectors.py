"""The shared file of vectors on the server; the phone runs the same file in its own test."""

from __future__ import annotations

from collections import Counter
from itertools import islice

from tests.vectors.ropes import every_ruleset, rope_vectors
from tests.vectors.write import COUNT, SEED, answered, read_vectors


def test_every_vector_of_the_shared_file_gets_its_answer() -> None:
    rulesets, states = every_ruleset(), Counter[str]()
    for vector in read_vectors():
        answer = vector.pop("answer")
        states[answer["state"]] += 1
        assert answered(vector, rulesets) == answer, (
            "The engine or a rule set has changed. If that was meant, say why in the commit and "
            f"run `python -m tests.vectors.write`. {vector}"
        )
    assert states.total() == COUNT >= 10_000
    assert min(states[state] for state in ("fit", "watch", "out of service", "retire")) >= 40


def test_the_file_holds_the_vectors_that_its_seed_makes_for_every_rule_set() -> None:
    rulesets = every_ruleset()
    made = islice(rope_vectors(SEED, COUNT, rulesets), 500)
    kept = [
        {name: each for name, each in vector.items() if name != "answer"}
        for vector in islice(read_vectors(), 500)
    ]
    assert list(made) == kept
    assert {vector["ruleset"] for vector in kept} == set(rulesets)
