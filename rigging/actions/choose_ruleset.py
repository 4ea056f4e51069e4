"""The venue chooses its rule sets; the record says who and why. The tool never chooses."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from rigging.engine import load_rulesets
from rigging.models import RuleChoice
from venue.actions.log import write_line
from venue.models import Person, Venue


class CannotChoose(ValueError):
    """Says why the rule set cannot be put in force."""


def choose_ruleset(*, venue: Venue, ruleset: str, why: str, by: Person, at: datetime) -> RuleChoice:
    rules = load_rulesets().get(ruleset)
    if rules is None:
        raise CannotChoose("There is no such rule set. Choose one from the list.")
    if not why.strip():
        raise CannotChoose(
            "Say why this rule set applies here: the law, the maker's manual, the insurer."
        )
    with transaction.atomic():
        if venue.rule_choices.filter(ruleset=ruleset, ended_on__isnull=True).exists():
            raise CannotChoose(f"“{rules.title}” is in force here already.")
        choice = RuleChoice.objects.create(
            venue=venue, ruleset=ruleset, ruleset_hash=rules.hash, chosen_by=by,
            why=why.strip(), since=at.astimezone(venue.zone).date(),
        )  # fmt: skip
        after = {"ruleset": ruleset, "hash": rules.hash, "why": choice.why}
        write_line(venue=venue, by=by, at=at, did="choose_ruleset", subject=choice, after=after)
    return choice


def choose_rulesets(
    *, venue: Venue, rulesets: Iterable[str], why: str, by: Person, at: datetime
) -> list[str]:
    """All of them or none. What is in force already is passed over, so twice does no harm. Returns
    the titles of what is new."""
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)
        running = venue.rule_choices.filter(ended_on__isnull=True)
        there = set(running.values_list("ruleset", flat=True))
        fresh = [slug for slug in dict.fromkeys(rulesets) if slug not in there]
        for slug in fresh:
            choose_ruleset(venue=venue, ruleset=slug, why=why, by=by, at=at)
    return [load_rulesets()[slug].title for slug in fresh]


def end_ruleset(*, choice: RuleChoice, why: str, by: Person, at: datetime) -> None:
    """Take a rule set out of force. The last one stays: ropes would be judged by nothing."""
    venue = choice.venue
    if not why.strip():
        raise CannotChoose("Say why it no longer applies.")
    if venue.rule_choices.filter(ended_on__isnull=True).exclude(pk=choice.pk).count() == 0:
        raise CannotChoose("This is the only rule set in force. Choose another one first.")
    today = at.astimezone(venue.zone).date()
    with transaction.atomic():
        if RuleChoice.objects.filter(pk=choice.pk, ended_on__isnull=True).update(ended_on=today):
            after = {"ruleset": choice.ruleset, "why": why.strip()}
            write_line(venue=venue, by=by, at=at, did="end_ruleset", subject=choice, after=after)
