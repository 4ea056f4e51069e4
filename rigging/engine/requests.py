"""Read a question about one rope, or about readings, from JSON text and answer it. Pure.

The shapes are described in docs/judge.md.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from rigging.engine.judging import judge_rope
from rigging.engine.limit_requests import judge_readings
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import FaultyFact, RopeFacts
from rigging.engine.rulesets import RuleSet
from rigging.engine.verdicts import CAUTION, STATES, Judgement

KNOWN = ("rope", "observation", "rulesets", "readings")


def answer_request(text: str, known: Mapping[str, RuleSet]) -> dict[str, Any]:
    """The judgements on one rope by the rule sets asked for, or on readings by their printed
    limits, and the worst state of them.

    Raises FaultyFact, which names the field.

    >>> answer_request('{"rope": {}, "observation": {}}', {})
    Traceback (most recent call last):
    rigging.engine.rope.FaultyFact: rulesets: there is no rule set to judge by.
    """
    asked = _parsed(text)
    for name in asked:
        if name not in KNOWN:
            raise FaultyFact(name, f"is not one of {', '.join(KNOWN)}.")
    if "readings" in asked:
        if len(asked) > 1:
            raise FaultyFact("readings", "are asked alone, without a rope.")
        judged = judge_readings(asked["readings"])
    else:
        rope = RopeFacts.from_dict(_part(asked, "rope"))
        observation = RopeObservation.from_dict(_part(asked, "observation"))
        judged = [judge_rope(rope, observation, each) for each in _rulesets(asked, known)]
    return {
        "state": worst_state(judged),
        "judgements": [judgement.to_dict() for judgement in judged],
        "caution": CAUTION,
    }


def worst_state(judgements: list[Judgement]) -> str:
    """The worst state of several judgements on one thing."""
    return max((judgement.state for judgement in judgements), key=STATES.index)


def _parsed(text: str) -> Mapping[str, Any]:
    try:
        asked = json.loads(text, object_pairs_hook=_once_each)
    except json.JSONDecodeError as fault:
        raise FaultyFact("file", f"is not JSON: {fault}") from fault
    except RecursionError as fault:
        raise FaultyFact("file", "is nested too deep.") from fault
    if not isinstance(asked, Mapping):
        raise FaultyFact("file", "is not a JSON object.")
    return asked


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """JSON keeps the last of two equal names silently; here the second is refused."""
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise FaultyFact(name, "is there twice.")
        found[name] = value
    return found


def _part(asked: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    part = asked.get(name)
    if not isinstance(part, Mapping):
        raise FaultyFact(name, "is missing, or is not an object.")
    return part


def _rulesets(asked: Mapping[str, Any], known: Mapping[str, RuleSet]) -> list[RuleSet]:
    slugs = asked.get("rulesets", "all")
    if slugs == "all":
        slugs = list(known)
    if not isinstance(slugs, list):
        raise FaultyFact("rulesets", 'is a list of names, or "all".')
    if not slugs:
        raise FaultyFact("rulesets", "there is no rule set to judge by.")
    for place, slug in enumerate(slugs):
        if slug not in known:
            raise FaultyFact(f"rulesets[{place}]", f"{slug!r} is not one of {', '.join(known)}.")
    return [known[slug] for slug in slugs]
