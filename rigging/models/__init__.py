"""How what holds things up is observed, and which rules the venue chose to judge it by."""

from rigging.models.calculation import CalculationKept
from rigging.models.confirmation import FigureConfirmed
from rigging.models.observation import RopeObserved
from rigging.models.rule_choice import RuleChoice

__all__ = ["CalculationKept", "FigureConfirmed", "RopeObserved", "RuleChoice"]
