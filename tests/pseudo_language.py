"""A language made up for tests: every letter has an accent and every text is 40 % longer, so that
what nobody marked is seen at once, and what is too long too. Its words are as long as German ones."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from textwrap import wrap

import allauth
import django
from babel.messages.catalog import Catalog, Message
from babel.messages.pofile import read_po

from tests import data_words, page_words

CODE = "xx"
PLAIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
MARKED = "åƀçđéƒğĥîĵķłɱñöþǫřšţûṽŵẋýžÅƁÇĐÉƑĞĤÎĴĶŁṀÑÖÞǪŘŠŢÛṼŴẊÝŽ"
ACCENTS = str.maketrans(PLAIN, MARKED)
LONGER = "éîöûåñš"
# Letters of "Unfallverhütungsvorschrift", the longest word of our German but for the title of one law.
LONGEST_WORD = 26
# Places, markup, entities: what a catalogue must leave alone.
KEPT = re.compile(r"(%\(\w+\)[sd]|%[sd%]|\{\w*\}|</?[a-zA-Z][^>]*>|&\w+;)")


def pseudo(text: str) -> str:
    """
    >>> pseudo("Kept: {1} of %(all)s <b>bad</b>")
    'Ķéþţ: {1} öƒ %(all)s <b>ƀåđ</b> éîöûå'
    """
    parts = KEPT.split(text)
    told = "".join(
        part if place % 2 else part.translate(ACCENTS) for place, part in enumerate(parts)
    )
    words = len("".join(parts[::2]).strip())
    end = told[len(told.rstrip()) :]
    longer = " ".join(wrap((LONGER * 100)[: words * 4 // 10], LONGEST_WORD))
    return f"{told.rstrip()}{' ' if longer else ''}{longer}{end}"


def write_catalogues(folder: Path) -> None:
    """Of pages, sentences, data files and the library's own texts."""
    where = folder / CODE / "LC_MESSAGES"
    where.mkdir(parents=True)
    keys = dict(page_words.texts_by_key("django"))
    keys |= {text: [] for text in data_words.words_by_text()}
    catalog = _catalogue(keys)
    for each in _of_the_library():
        if each.id and each.id not in catalog:
            told = tuple(map(pseudo, each.id)) if isinstance(each.id, tuple) else pseudo(each.id)
            catalog.add(each.id, told, context=each.context)
    (where / "django.mo").write_bytes(page_words.as_mo(catalog))
    said = page_words.texts_by_key("said")
    (where / "said.mo").write_bytes(page_words.as_mo(_catalogue(said)))
    worked = page_words.texts_by_key("calculators")
    (where / "calculators.mo").write_bytes(page_words.as_mo(_catalogue(worked)))
    scripts = {key: files for key, files in said.items() if page_words.SCRIPT in files}
    (where / "phone.mo").write_bytes(page_words.as_mo(_catalogue(scripts)))


def _catalogue(keys: dict[page_words.Key, list[str]]) -> Catalog:
    catalog = Catalog("en", charset="utf-8")
    for key in keys:
        words, context = page_words.and_context(key)
        told = tuple(map(pseudo, words)) if isinstance(words, tuple) else pseudo(words)
        catalog.add(words, told, context=context)
    return catalog


def _of_the_library() -> Iterator[Message]:
    """Months, faults of fields, the labels of the sign-in."""
    of_django = Path(django.__file__).parent
    of_passwords = of_django / "contrib" / "auth" / "locale"
    for folder in (
        of_django / "conf" / "locale",
        of_passwords,
        Path(allauth.__file__).parent / "locale",
    ):
        with (folder / "en" / "LC_MESSAGES" / "django.po").open("rb") as file:
            yield from read_po(file)
