"""The judgement of a rope by one rule set, and the rule sets as their files have them."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from tests.second_engine.criteria import MET, NOT_MET, SWITCHED_OFF, UNDECIDED, does_apply
from tests.second_engine.facts import PLAIN_CONDITIONS, was_seen
from tests.second_engine.verdicts import Result, judged

FOLDER = Path(__file__).parents[2] / "rigging" / "rulesets"
STATES = ("fit", "watch", "restrict", UNDECIDED, "out of service", "retire")
ELSEWHERE = "not in this rule set"

Answer = dict[str, Any]


def rules_of_files() -> dict[str, dict[str, Any]]:
    """Every file, and once more with all that is switched off confirmed."""
    found = {}
    for file in sorted(FOLDER.glob("*.toml")):
        rules = tomllib.loads(file.read_text(encoding="utf-8"))
        found[rules["slug"]] = rules
        if any(criterion.get("off") for criterion in rules["criterion"]):
            switched_on = [criterion | {"off": ""} for criterion in rules["criterion"]]
            found[f"{rules['slug']}-confirmed"] = rules | {"criterion": switched_on}
    return found


def judge(rope: dict[str, Any], seen: dict[str, Any], rules: dict[str, Any]) -> Answer:
    found = [judged(criterion, rules, rope, seen) for criterion in rules["criterion"]]
    results = [result for result in found if result is not None]
    results += not_spoken_of(rules, seen)
    open_ends = [bool(rules.get("incomplete")), not counts_wires(rules, rope, seen)]
    results += [Result(ELSEWHERE, UNDECIDED, UNDECIDED)] * sum(open_ends)
    decides = max(results, key=lambda result: (STATES.index(result.state), result.closeness))
    return {
        "state": decides.state,
        "verdict": verdict_of(results),
        "clause": decides.clause,
        "results": [[each.clause, each.verdict, each.state] for each in results],
    }


def verdict_of(results: list[Result]) -> str:
    verdicts = {result.verdict for result in results}
    verdicts |= {UNDECIDED} if SWITCHED_OFF in verdicts else set()
    return next(each for each in (MET, UNDECIDED, NOT_MET) if each in verdicts)


def not_spoken_of(rules: dict[str, Any], seen: dict[str, Any]) -> list[Result]:
    """Conditions seen that no criterion names."""
    named = {name for each in rules["criterion"] for name in each.get("conditions", ())}
    if any(each["indicator"] == "outer_wire_loss" for each in rules["criterion"]):
        named.add("outer_wires_worn")
    return [
        Result(ELSEWHERE, MET, "out of service")
        for name in PLAIN_CONDITIONS
        if name not in named and was_seen(seen.get("conditions") or {}, name)
    ]


def counts_wires(rules: dict[str, Any], rope: dict[str, Any], seen: dict[str, Any]) -> bool:
    return any(
        each["indicator"] == "broken_wires"
        and not each.get("off")
        and does_apply(each, rope, seen) is not False
        for each in rules["criterion"]
    )
