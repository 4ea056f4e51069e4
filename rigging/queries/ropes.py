from __future__ import annotations

import json
from datetime import date
from functools import lru_cache

from django.db.models import Q

from rigging.engine import RopeFacts, RuleSet, load_rulesets
from rigging.engine.gone import ruleset_gone
from rigging.engine.rope import CHOICES, NUMBERS, QUANTITIES, YES_OR_NO
from rigging.models import RuleChoice
from rigging.queries.confirmations import as_confirmed
from venue.models import Part, Venue
from venue.quantities import Quantity

TEXTS = ("construction", "mbf_source", *CHOICES)


def rope_facts(part: Part) -> RopeFacts:
    """What the register knows of a rope. What it does not know stays None: never guessed."""
    return _facts(json.dumps(part.fields, sort_keys=True))


@lru_cache(maxsize=1024)  # a rope is asked about again and again, and its facts seldom change
def _facts(fields: str) -> RopeFacts:
    known = json.loads(fields)
    facts: dict = {
        name: Quantity.from_stored(known[name]) if known.get(name) else None for name in QUANTITIES
    }
    facts |= {name: known.get(name) or None for name in TEXTS}
    facts |= {name: int(known[name]) if known.get(name) else None for name in NUMBERS}
    facts |= {name: known.get(name) for name in YES_OR_NO}
    return RopeFacts(**facts)


def rulesets_in_force(venue: Venue, day: date) -> list[RuleSet]:
    """The rule sets the venue chose, in the order they were chosen. One whose file is gone is never
    left out: it judges every rope "cannot be decided"."""
    choices = RuleChoice.objects.filter(venue=venue, since__lte=day).filter(
        Q(ended_on__isnull=True) | Q(ended_on__gt=day)
    )
    known = load_rulesets()
    chosen = [
        known.get(slug) or ruleset_gone(slug) for slug in choices.values_list("ruleset", flat=True)
    ]
    return as_confirmed(venue, day, chosen)


def rule_choices(venue: Venue):
    return venue.rule_choices.select_related("chosen_by").order_by("ended_on", "since")
