"""Rule sets worth reading first in a country, and what each says in plain words. Pure."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from rigging.engine import RuleSet, load_rulesets

FILE = Path(__file__).with_name("first_choice.toml")
# What a criterion looks at, in the order in which people look.
LOOKS_AT = {
    "broken_wires": "broken wires",
    "diameter_loss": "loss of diameter",
    "outer_wire_loss": "wear of the outer wires",
    "condition": "corrosion, kinks and other damage",
    "strength_loss": "loss of strength",
    "design_factor": "how much stronger than its load the rope is",
    "combined_severity": "several faults in one place together",
}
NUMBERS = ("broken_wires", "diameter_loss", "design_factor")
MOST_NUMBERS = 2


class FaultyFirstChoice(ValueError):
    """The file of proposals names what does not exist."""


@dataclass(frozen=True)
class Country:
    slug: str
    words: str
    why: dict[str, str]  # rule set -> what speaks for it


@dataclass(frozen=True)
class PlainRuleSet:
    """A rule set as somebody who never read one must see it."""

    rules: RuleSet
    proposed: bool
    why: str
    looks_at: tuple[str, ...]
    numbers: tuple[str, ...]
    off: tuple[str, ...]  # what it would look at, were its figures confirmed


@cache
def countries() -> dict[str, Country]:
    raw = tomllib.loads(FILE.read_text(encoding="utf-8"))["country"]
    found = {
        one["slug"]: Country(
            one["slug"], one["words"], {each["slug"]: each["why"] for each in one["sets"]}
        )
        for one in raw
    }
    named = {slug for country in found.values() for slug in country.why}
    if unknown := named - set(load_rulesets()):
        raise FaultyFirstChoice(f"{FILE.name}: no rule set {', '.join(sorted(unknown))}")
    return found


def plain_rulesets(country: str) -> list[PlainRuleSet]:
    """Those proposed in the country first, then all others by title."""
    why = countries()[country].why
    proposed = [_plain(load_rulesets()[slug], words) for slug, words in why.items()]
    others = [rules for slug, rules in load_rulesets().items() if slug not in why]
    return proposed + [_plain(rules, "") for rules in sorted(others, key=lambda one: one.title)]


def _plain(rules: RuleSet, why: str) -> PlainRuleSet:
    on = [one for one in rules.criteria if not one.off]
    looks_at = tuple(words for name, words in LOOKS_AT.items() if name in {c.indicator for c in on})
    numbers = [
        f"{one.words}: {one.outcome} {'by its table' if one.limit.table else one.limit_in_words}"
        for one in on
        if one.indicator in NUMBERS and one.limit
    ]
    off = tuple(dict.fromkeys(LOOKS_AT[one.indicator] for one in rules.criteria if one.off))
    return PlainRuleSet(rules, bool(why), why, looks_at, tuple(numbers[:MOST_NUMBERS]), off)
