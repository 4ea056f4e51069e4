"""Execute the worked examples that a rule set carries. Pure."""

from __future__ import annotations

from rigging.engine.judging import judge_rope
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import RopeFacts
from rigging.engine.rulesets import Example, RuleSet


def faults_of_example(ruleset: RuleSet, example: Example) -> list[str]:
    """What the engine answers otherwise than the example says; empty when it agrees.

    `expect` without `criterion` speaks of the whole judgement, with it of that criterion.
    `missing` is a part of one of the missing words.
    """
    rope = RopeFacts.from_dict(example.rope)
    judged = judge_rope(rope, RopeObservation.from_dict(example.observation), ruleset)
    slug = example.expect.get("criterion")
    found = next((each for each in judged.results if each.slug == slug), judged)
    faults = []
    for key in ("verdict", "state", "value", "limit"):
        wanted = example.expect.get(key)
        if wanted is not None and str(getattr(found, key)) != wanted:
            faults.append(f"{key} is {getattr(found, key)}, not {wanted}")
    wanted = example.expect.get("missing")
    if wanted is not None and not any(wanted in word for word in found.missing):
        faults.append(f"missing is {', '.join(found.missing)}, without {wanted}")
    place = f"{ruleset.title}, {ruleset.edition}, {getattr(found, 'clause', '')}"
    return [f"{place}: {example.name}: {fault} ({example.source})" for fault in faults]
