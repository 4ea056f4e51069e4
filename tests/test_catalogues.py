"""The catalogues hold what pages, mails and reports say, whole in every language."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import read_mo

from tests import page_words
from tests.page_words import (
    DOMAINS,
    LANGUAGES,
    Key,
    of_scripts,
    po_file,
    read,
    texts_by_key,
    translations,
)
from tests.said_places import NO_WORDS
from venue.front_files import SCRIPTS
from venue.one_file import one_script
from venue.script_tokens import tokens
from venue.script_words import in_language, texts_of

PAIR = re.compile(r"\w,\w")
PLACES = re.compile(r"%\(\w+\)s|\{\d\}|<[^>]+>")


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_is_told_in_every_language(language: str, domain: str) -> None:
    """After a change of words: `python -m tests.write_words`, then translate what is new."""
    known = translations(read(language, domain))
    wanted = texts_by_key(domain)
    assert len(wanted) > 600
    assert [key for key in wanted if not _is_told(known.get(key))] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_choice_of_two_words_stays_one_of_two(language: str) -> None:
    """What `yesno` shows is split at its comma, so a translation has as many."""
    known = translations(read(language, "django"))
    pairs = {key: told for key, told in known.items() if isinstance(key, str) and PAIR.search(key)}
    assert len(pairs) >= 5
    assert [key for key, told in pairs.items() if str(told).count(",") != key.count(",")] == []


def _is_told(told: str | tuple[str, ...] | None) -> bool:
    return bool(told) and (isinstance(told, str) or all(told))


@pytest.mark.parametrize("domain", DOMAINS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_catalogue_is_compiled(language: str, domain: str) -> None:
    catalog = read(language, domain)
    assert _texts(po_file(language, domain).with_suffix(".mo")) == translations_told(catalog)
    if domain == "said":
        scripts = translations_told(of_scripts(catalog))
        assert _texts(po_file(language, domain).with_name("phone.mo")) == scripts


def _texts(compiled: Path) -> dict[Key, str | tuple[str, ...]]:
    with compiled.open("rb") as file:
        return translations_told(read_mo(file))


def translations_told(catalog: Catalog) -> dict[Key, str | tuple[str, ...]]:
    told = translations(catalog).items()
    return {key: words for key, words in told if _is_told(words) and words != key}


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
