"""The value that a criterion compares: bounds of what was counted, measured or known. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.engine.bounds import Bounds
from rigging.engine.diameters import diameter_loss
from rigging.engine.losses import loss_bounds
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import FACT_WORDS, RopeFacts
from rigging.engine.rulesets import Criterion
from rigging.engine.wire_counts import count_bounds


def value_bounds(criterion: Criterion, rope: RopeFacts, seen: RopeObservation) -> Bounds:
    """At least and at most what the criterion's indicator comes to."""
    if criterion.wanted:
        return count_bounds(rope, seen, criterion.wanted)
    if criterion.indicator == "diameter_loss":
        absolute = criterion.limit is not None and criterion.limit.dimension == "length"
        return diameter_loss(rope, seen, criterion.reference, absolute)
    if criterion.indicator == "design_factor":
        return design_factor(rope)
    return loss_bounds(criterion.indicator, seen)


def design_factor(rope: RopeFacts) -> Bounds:
    """Minimum breaking force over the greatest force in the rope, dynamic effects included.

    Units: none. Limits: the force in ONE rope, its ends not counted. Source: DGUV Vorschrift 17,
    section 9 with its implementing instruction.
    """
    needed = ("minimum_breaking_force", "greatest_force")
    missing = tuple(FACT_WORDS[fact] for fact in needed if getattr(rope, fact) is None)
    if rope.minimum_breaking_force is None or rope.greatest_force is None:
        return Bounds(Fraction(0), None, missing)
    factor = rope.minimum_breaking_force.si / rope.greatest_force.si
    return Bounds(factor, factor)
