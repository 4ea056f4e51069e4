"""docs/engine.md speaks of every field, indicator and word that a rule-set file may carry."""

from __future__ import annotations

from pathlib import Path

import pytest

from rigging.engine import STATES, criterion_files, limit_files, limit_set_files, table_checks
from rigging.engine.observation import WINDOWS, ZONES
from rigging.engine.rulesets import REFERENCES
from rigging.engine.verdicts import ASKS

TEXT = (Path(__file__).parent.parent.parent / "docs" / "engine.md").read_text(encoding="utf-8")
# Said by every rule set; they change no verdict.
PLAIN = {
    "slug",
    "words",
    "clause",
    "indicator",
    "comparator",
    "verified",
    "action",
    "note",
    "source",
}
WORDS = [
    *(set(criterion_files.KNOWN) - PLAIN),
    *limit_files.KNOWN,
    *(set(limit_set_files.LIMIT) - PLAIN - {"dimension"}),
    *criterion_files.INDICATORS,
    *table_checks.CHECKS,
    *WINDOWS,
    *ZONES,
    *REFERENCES,
    *STATES,
]


@pytest.mark.parametrize("word", sorted(set(WORDS)))
def test_every_word_that_decides_is_explained(word):
    assert f"`{word}`" in TEXT or f'"{word}"' in TEXT or f"{word} =" in TEXT or word in STATES, word
    assert word in TEXT


def test_every_thing_that_a_rule_may_ask_for_is_told_in_the_document_of_the_command():
    told = (Path(__file__).parent.parent.parent / "docs" / "judge.md").read_text(encoding="utf-8")
    assert all(ask in told for ask in ASKS)
