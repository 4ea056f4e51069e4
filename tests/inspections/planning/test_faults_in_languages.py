"""What no plan may have is said in the language of the page, with the day in its place."""

from __future__ import annotations

import pytest
from django.utils.translation import override

from inspections.move_check import _hours
from inspections.planning.evaluate import evaluate
from inspections.planning.usable import hindrances
from inspections.year_figures import faults_in_words
from tests.inspections.planning.test_evaluation import WRONG
from venue.language_now import said

ENGLISH = ("lacks", "come", "too much", "too late", "clash", "comes before", "missing", "twice")
# Mistakes of a program, which nobody can make by hand.
OF_PROGRAMS = {"no such plan", "outside", "long task outside", "locked elsewhere",
               "more tasks than due days", "before its window opens"}  # fmt: skip


@pytest.mark.parametrize("language", ["de", "es"])
def test_every_fault_is_said_with_its_day(language: str) -> None:
    seen = 0
    for sort in sorted(set(WRONG) - OF_PROGRAMS):
        house, tasks, _ = WRONG[sort]
        for fault in faults_in_words(house, evaluate(house, tasks).faults):
            for words in (fault, _hours(fault)):
                with override(language):
                    told = said(words)
                assert not [each for each in ENGLISH if each in told], (sort, told)
                assert "2027" not in words or "2027" in told
                seen += 1
    assert seen >= 20


@pytest.mark.parametrize(
    ("language", "words"), [("de", "Vorlauf für iso"), ("es", "preaviso para iso")]
)
def test_what_is_in_the_way_is_said_too(language: str, words: str) -> None:
    house, (task,), _ = WRONG["notice of a set-up"]
    (way,) = hindrances(house, house.plan_of[task.plan], task.slot)
    with override(language):
        assert said(way) == words
