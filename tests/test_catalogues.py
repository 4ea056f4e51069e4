"""The catalogues hold what the pages say, in every language whole where a check or a report needs it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests import page_words
from tests.page_words import (
    DOMAINS,
    LANGUAGES,
    as_mo,
    made_anew,
    of_scripts,
    po_file,
    read,
    untranslated,
)
from tests.said_places import NO_WORDS
from venue.front_files import SCRIPTS
from venue.one_file import one_script
from venue.script_words import in_language, texts_of
from venue.tight_script import tokens

# The phone check, what stands around every page, the sign-in, and every report.
PAGES = (
    "kept_check", "check", "round", "tag", "question", "question_list", "question_about",
    "questions_here", "review", "take_out", "state_first", "stop", "sign_check", "banner_check",
    "bar_out",
)  # fmt: skip
WHOLE = (
    "templates/inspections/report/", "templates/inspections/papers/",
    "templates/inspections/questions/", "templates/parts/", "templates/account/",
    *(f"templates/inspections/{name}.html" for name in PAGES),
    *(f"templates/{name}.html" for name in ("base", "403", "404", "500", "venue/language")),
)  # fmt: skip
PLACES = re.compile(r"%\(\w+\)s|\{\d\}|<[^>]+>")
# Texts of other pages that have no German, no Spanish: these numbers may only fall.
MOST_WITHOUT = {"de": 1415, "es": 1415}


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_phone_check_and_the_reports_are_whole(language: str) -> None:
    assert untranslated(read(language, "django"), WHOLE) == []
    assert untranslated(read(language, "said")) == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_left_to_translate_does_not_grow(language: str) -> None:
    assert len(untranslated(read(language, "django"))) <= MOST_WITHOUT[language]


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_catalogue_holds_every_text_and_is_compiled(language: str, domain: str) -> None:
    catalog = read(language, domain)
    assert {each.id for each in catalog if each.id} == set(page_words.texts_by_key(domain))
    anew = made_anew(language, domain, page_words.translations(catalog))
    assert po_file(language, domain).with_suffix(".mo").read_bytes() == as_mo(anew)
    if domain == "said":
        assert po_file(language, domain).with_name("phone.mo").read_bytes() == as_mo(
            of_scripts(anew)
        )


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_no_place_is_lost_or_added_by_a_translation(language: str, domain: str) -> None:
    seen = 0
    for each in read(language, domain):
        ids = each.id if isinstance(each.id, tuple) else (each.id,)
        told = each.string if isinstance(each.id, tuple) else (each.string,)
        for text, words in zip(ids, told, strict=True):
            if text and words:
                seen += 1
                assert sorted(PLACES.findall(words)) == sorted(PLACES.findall(text)), (text, words)
    assert seen > 400


def test_a_script_in_another_language_differs_in_its_texts_only() -> None:
    root = Path(page_words.ROOT) / "static"
    plain = one_script(root, SCRIPTS, "{}".format)
    for language in LANGUAGES:
        catalog = of_scripts(read(language, "said"))
        known = {str(each.id): str(each.string) for each in catalog if each.id}
        assert len(known) > 200
        assert not NO_WORDS & set(known)
        said = in_language(plain, known)
        assert said != plain
        assert _code(said) == _code(plain)
        kept = [text.words for text in texts_of(said) if text.words in NO_WORDS]
        assert kept == [text.words for text in texts_of(plain) if text.words in NO_WORDS]


def _code(script: str) -> list[str]:
    """What is neither a text nor in the place of one: the order of places is the language's."""
    return sorted(token.text for token in tokens(script) if token.kind not in ("text", "piece"))


def test_a_marked_text_is_found_in_a_template() -> None:
    assert list(
        page_words.marked_in("{% blocktranslate count n=x %}a{% plural %}b{% endblocktranslate %}")
    ) == [("a", "b")]
