"""What people read from data files is there in German and Spanish, with the same figures."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

import pytest

from inspections.data_word_places import PLACES
from inspections.data_words import UnknownPath, data_words, word_at
from tests import data_words as catalogues
from tests.data_words import LANGUAGES

# How many texts have no translation yet. This number may only fall.
LEFT = {"de": 0, "es": 0}

# Words on which a life may hang: where the English says it, the translation must.
SAFETY = {
    r"cannot be decided": {
        "de": r"nicht entscheidbar|nicht entschieden|nicht entscheiden",
        "es": r"no (se puede decidir|puede decidirse)",
    },
    r"\bout of service\b": {"de": r"außer Betrieb", "es": r"fuera de servicio"},
    r"\bmust not\b": {
        "de": r"\b(darf|dürfen)\b.*\b(nicht|kein)|\bnicht\b.*\b(darf|dürfen)\b",
        "es": r"\bno deben?\b",
    },
    r"\bdo not\b": {
        "de": r"\bnicht\b|\bkeine?n?\b|\bnie\b",
        "es": r"\bno\b|\bninguna?\b|\bnunca\b",
    },
    # Said without a “no” where yes means good: “ist niemand darunter?” could be answered either way.
    r"\bnobody\b": {
        "de": r"\bniemand|\bfrei von Personen\b|\bausgeschlossen, dass jemand\b",
        "es": r"\bnadie\b|\blibres? de personas\b|\bexcluido que alguien\b",
    },
    r"\bnever\b": {"de": r"\bnie(mals)?\b|\bkein", "es": r"\bnunca\b|\bjamás\b"},
    r"\bnot applicable\b": {"de": r"trifft nicht zu", "es": r"no procede"},
    r"\bnot known\b": {
        "de": r"\bnicht bekannt|\bunbekannt",
        "es": r"\bno se (conoce|sabe)|\bdesconocid",
    },
}
# Words that are the same in these languages. What holds a figure may be a citation or a measure.
ALIKE = {
    "de": {"normal", "China", "International"},
    "es": {"normal", "China", "motor", "manila", "reflector"},
}


def texts() -> list[str]:
    return list(catalogues.words_by_text())


@cache
def translated(language: str) -> dict[str, str]:
    found = catalogues.translations(catalogues.read(language))
    return {text: found[text] for text in texts() if found.get(text)}


def test_every_text_of_every_data_file_is_found() -> None:
    seen = Counter(word.file.rsplit("/", 1)[0] for word in data_words())
    for folder, least in {
        "inspections/regimes": 700, "venue/kinds": 250, "venue/kinds/parts": 180,
        "rigging/rulesets": 250, "rigging/rulesets/limits": 180, "rigging": 10,
        "inspections/reports/kinds": 60, "inspections/work_needs": 5,
        "inspections/retention_rules": 20, "inspections": 90, "rigging/engine": 50, "venue": 10,
    }.items():  # fmt: skip
        assert seen[folder] > least, folder
    assert len(texts()) > 2200


def test_a_key_that_nobody_thought_of_is_refused() -> None:
    with pytest.raises(UnknownPath, match=r"new\.toml: is check\.rumour read by people"):
        word_at(PLACES[0], "new.toml", "check.rumour", "They say it is fine.")
    assert word_at(PLACES[0], "new.toml", "check.slug", "fine") is None


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_has_its_translation(language: str) -> None:
    left = catalogues.untranslated(catalogues.made_anew(language, translated(language)))
    assert len(left) == LEFT[language], left[:20]


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_catalogue_stands_as_it_would_be_written_now(language: str) -> None:
    anew = catalogues.made_anew(language, catalogues.translations(catalogues.read(language)))
    assert catalogues.po_file(language).read_bytes() == catalogues.as_po(anew), (
        "python -m tests.data_words brings it up to date"
    )


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_compiled_is_what_was_written(language: str) -> None:
    written = {
        text: said
        for text, said in catalogues.translations(catalogues.read(language)).items()
        if said
    }
    assert catalogues.translations(catalogues.compiled(language)) == written


@pytest.mark.parametrize("language", LANGUAGES)
def test_figures_and_places_to_fill_in_are_the_same(language: str) -> None:
    found = translated(language)
    assert len(found) > 700
    for text, said in found.items():
        assert catalogues.figures(text) == catalogues.figures_of_translation(said), said
        assert catalogues.placeholders(text) == catalogues.placeholders(said), said


@pytest.mark.parametrize("language", LANGUAGES)
def test_only_names_and_figures_stay_in_english(language: str) -> None:
    names = {word.text for word in data_words() if word.is_name}
    same = {text for text, said in translated(language).items() if text == said} - names
    assert {text for text in same if not catalogues.figures(text)} == ALIKE[language]


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_question_stays_a_question_and_a_sentence_a_sentence(language: str) -> None:
    for text, said in translated(language).items():
        assert text.endswith("?") == said.endswith("?"), said
        assert text.endswith(".") == said.endswith("."), said
        if language == "es":
            assert said.count("¿") == said.count("?"), said


@pytest.mark.parametrize("language", LANGUAGES)
def test_words_of_safety_are_not_lost(language: str) -> None:
    known = translated(language)
    for english, in_language in SAFETY.items():
        saying = [text for text in texts() if re.search(english, text, re.IGNORECASE)]
        assert saying, english
        wanted = re.compile(in_language[language], re.IGNORECASE)
        assert [(text, known[text]) for text in saying if lost(text, known, wanted)] == []


def lost(text: str, known: dict[str, str], wanted: re.Pattern[str]) -> bool:
    return text in known and wanted.search(known[text]) is None
