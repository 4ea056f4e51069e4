"""A verdict is the same in every language, and each of its sentences can be said in each."""

from __future__ import annotations

import re
from itertools import islice
from typing import Any

import pytest
from django.utils.translation import override

from inspections.queries.checks import judgement_words
from rigging.engine import RopeFacts, RopeObservation, judge_rope
from tests import data_words, page_words
from tests.page_words import LANGUAGES
from tests.pseudo_language import pseudo
from tests.vectors.ropes import every_ruleset
from tests.vectors.write import TOLD, hash_of, judged, read_vectors
from venue.said import Habits, Sentences

EVERY = 240  # of the 10,800
WORD = re.compile(r"(?<!\w)[A-Za-z]{3,}(?!\w)")
OF_ANY_LANGUAGE = {"DIN", "ISO", "CFR", "Seale", "Lang", "OSHA", "ASME", "ANSI"}


@pytest.fixture(scope="module")
def made_up() -> Sentences:
    texts = {text for text in page_words.texts_by_key("said") if isinstance(text, str)}
    data = {text: pseudo(text) for text in data_words.words_by_text()}
    return Sentences(
        {text: pseudo(text) for text in texts}, lambda text: data.get(text, text), Habits()
    )


def sentences(vector: dict[str, Any], rulesets: Any) -> set[str]:
    """What is said of a rope: the whole verdict, and of each criterion what is shown alone."""
    rope = RopeFacts.from_dict(vector["rope"])
    seen = RopeObservation.from_dict(vector["observation"])
    told = judge_rope(rope, seen, rulesets[vector["ruleset"]])
    found = {*told.missing, *told.notes, told.action, told.caution}
    for each in told.results:
        found |= {
            each.words,
            each.value,
            each.limit,
            each.margin,
            each.note,
            each.action,
            *each.missing,
        }
    return found - {""}


def test_every_sentence_of_a_verdict_can_be_said_in_another_language(made_up: Sentences) -> None:
    rulesets, names = every_ruleset(), set[str]()
    for each in rulesets.values():
        source = each.title, each.edition, *(criterion.clause for criterion in each.criteria)
        names |= {word for text in source for word in WORD.findall(text)}
    missed, seen = {}, 0
    for vector in islice(read_vectors(), 0, None, EVERY):
        for text in sentences(vector, rulesets):
            seen += 1
            told = made_up.say(text)
            left = [word for word in WORD.findall(told) if word not in names | OF_ANY_LANGUAGE]
            if left:
                missed[text] = told
    assert seen > 500
    assert not missed, missed


def test_a_whole_verdict_is_said_in_another_language(made_up: Sentences) -> None:
    rulesets = every_ruleset()
    for vector in islice(read_vectors(), 0, None, EVERY):
        rope = RopeFacts.from_dict(vector["rope"])
        seen = RopeObservation.from_dict(vector["observation"])
        told = judge_rope(rope, seen, rulesets[vector["ruleset"]])
        said = judgement_words(told, made_up.say)
        head = said.partition(" (")[0].partition(":")[0]
        assert not WORD.search(head), said


def test_the_verdict_and_its_clause_are_the_same_in_every_language() -> None:
    rulesets = every_ruleset()
    for vector in islice(read_vectors(), 0, None, EVERY * 3):
        for language in ("en", *LANGUAGES):
            with override(language):
                told = judged(vector, rulesets)
            assert {name: told[name] for name in TOLD} | {"sha256": hash_of(told)} == vector[
                "answer"
            ]
