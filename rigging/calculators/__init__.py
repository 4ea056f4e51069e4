"""Calculators: one module each, found by the registry. Pure.

The contract is in `rigging.calculators.contract`. Decision aid for competent people: see
`rigging.engine.verdicts.CAUTION`.
"""

from rigging.calculators.answering import answer
from rigging.calculators.contract import Answer, BadValue, Calculator, Given
from rigging.calculators.reading import read_values
from rigging.calculators.registry import load_calculators

__all__ = [
    "Answer", "BadValue", "Calculator", "Given", "answer", "load_calculators", "read_values",
]  # fmt: skip
