from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date

from django.db.models import QuerySet

from rigging.engine import (
    STATES,
    CriterionResult,
    Judgement,
    RopeFacts,
    RopeObservation,
    RuleSet,
    judge_rope,
    load_rulesets,
)
from rigging.engine.figures import limit_words
from rigging.engine.rope import FACT_WORDS
from rigging.models import RopeObserved
from rigging.queries.confirmations import as_confirmed
from rigging.queries.ropes import rope_facts, rulesets_in_force
from venue.models import Part, Person, Venue

SHOWN = 50  # observations to choose from


@dataclass(frozen=True)
class Verdict:
    """One rule set's answer. `in_force`: the venue chose it; the others are for comparison."""

    rules: RuleSet
    judged: Judgement
    in_force: bool

    @property
    def closest(self) -> CriterionResult | None:
        """The criterion nearest to its limit, where the one that decided has no figures."""
        figured = [each for each in self.judged.results if each.value and each.margin]
        if (self.judged.value and self.judged.margin) or not figured:
            return None
        return max(figured, key=lambda each: each.closeness)

    @property
    def limit(self) -> str:
        return limit_words(self.judged.comparator, self.judged.limit)

    @property
    def closest_limit(self) -> str:
        near = self.closest
        return limit_words(near.comparator, near.limit) if near else ""


@dataclass(frozen=True)
class EveryRule:
    """One rope, one observation, every rule set; those in force first, then from worst to best."""

    part: Part
    observed: RopeObserved
    others: Sequence[RopeObserved]
    known_since: Sequence[str]
    verdicts: Sequence[Verdict]

    @property
    def in_force(self) -> list[Verdict]:
        return [each for each in self.verdicts if each.in_force]

    @property
    def to_compare(self) -> list[Verdict]:
        return [each for each in self.verdicts if not each.in_force]

    @property
    def counts(self) -> list[tuple[str, int]]:
        found = Counter(each.judged.state for each in self.verdicts)
        return [(state, found[state]) for state in reversed(STATES) if found[state]]


def observations_of(part: Part, person: Person) -> QuerySet[RopeObserved]:
    """Every observation of a rope that the person may see, the latest first."""
    return RopeObserved.objects.visible_to(person).filter(part=part).select_related("by")


def every_rule(
    venue: Venue, part: Part, chosen: RopeObserved, others: Sequence[RopeObserved], day: date
) -> EveryRule:
    """The verdicts of all rule sets on one observation, with the figures confirmed here."""
    rope, since = facts_of(chosen, part)
    seen = RopeObservation.from_dict(chosen.body)
    chosen_here = rulesets_in_force(venue, day)
    force, known = {each.slug for each in chosen_here}, load_rulesets()
    rulesets = as_confirmed(venue, day, list(known.values()))
    rulesets += [each for each in chosen_here if each.slug not in known]
    verdicts = [
        Verdict(each, judge_rope(rope, seen, each), each.slug in force) for each in rulesets
    ]
    verdicts.sort(key=lambda each: (not each.in_force, -STATES.index(each.judged.state)))
    return EveryRule(part, chosen, others, since, verdicts)


def facts_of(observed: RopeObserved, part: Part) -> tuple[RopeFacts, list[str]]:
    """The rope's facts as known on the day, completed by what the register learned since."""
    then, now = RopeFacts.from_dict(observed.rope), rope_facts(part)
    learned = {
        field.name: getattr(now, field.name)
        for field in fields(RopeFacts)
        if getattr(then, field.name) is None and getattr(now, field.name) is not None
    }
    return replace(then, **learned), [FACT_WORDS.get(name, name) for name in learned]
