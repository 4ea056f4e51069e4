from __future__ import annotations

from typing import ClassVar

from django.db import models

from rigging.engine import load_rulesets
from venue.models import Person, Venue
from venue.models.visibility import VisibleQuerySet


class RuleChoice(models.Model):
    """A rule set in force in a venue: who chose it, when, and why. Ended, never edited."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="rule_choices")
    ruleset = models.SlugField(max_length=80)
    # Judges everything it is applied to; the worst verdict of all rule sets in force counts.
    ruleset_hash = models.CharField(max_length=64)
    chosen_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    why = models.TextField()
    since = models.DateField()
    ended_on = models.DateField(null=True, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["since", "pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["venue", "ruleset"],
                condition=models.Q(ended_on__isnull=True),
                name="a_rule_set_is_in_force_once",
            ),
            models.CheckConstraint(condition=~models.Q(why=""), name="a_rule_choice_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.ruleset} since {self.since}"

    @property
    def known(self) -> bool:
        """Whether this release has the file of the rule set."""
        return self.ruleset in load_rulesets()

    @property
    def title(self) -> str:
        rules = load_rulesets().get(self.ruleset)
        return rules.title if rules else self.ruleset
