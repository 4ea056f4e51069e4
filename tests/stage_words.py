"""The words of a British stage: `python -m tests.stage_words` brings their catalogue up to date.

It finds every text of the data files and the pages with a word that only an American stage says
(`inspections/locale/stage_words.toml`), proposes the British ones for what is new, drops what is gone
and compiles. A proposal is read by a person, who may change it in the .po file; it then stays.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cache

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from tests.data_words import BEGUN, FOLDER, as_po, translations, words_by_text

WORDS = FOLDER / "stage_words.toml"
PO = FOLDER / "en_GB" / "LC_MESSAGES" / "django.po"
HEAD = """\
# What only an American stage says, in the words of a British one; all else is said alike on both.
# The keys are the exact texts. `python -m tests.stage_words` adds what is new and compiles."""


@cache
def pairs() -> dict[str, str]:
    """The British word by the American one."""
    raw = tomllib.loads(WORDS.read_text(encoding="utf-8"))
    return {word: row["british"] for row in raw["word"] for word in row["american"]}


@cache
def stays() -> frozenset[str]:
    """Texts that keep the American word."""
    return frozenset(tomllib.loads(WORDS.read_text(encoding="utf-8"))["stays"]["texts"])


@cache
def american() -> re.Pattern[str]:
    longest_first = sorted(pairs(), key=len, reverse=True)
    return re.compile(rf"\b({'|'.join(map(re.escape, longest_first))})(s?)\b", re.IGNORECASE)


def proposed(text: str) -> str:
    """
    >>> proposed("Battens down, an arbor up")
    'Bars down, a cradle up'
    """
    told = american().sub(lambda found: _like(found[1], pairs()[found[1].lower()]) + found[2], text)
    return told.replace("an cradle", "a cradle").replace("An cradle", "A cradle")


def _like(american_word: str, british: str) -> str:
    return british[0].upper() + british[1:] if american_word[0].isupper() else british


def texts() -> dict[str, str]:
    """Each text with an American word, with the first place it stands in."""
    return {
        text: where for text, where in _every() if american().search(text) and text not in stays()
    }


def _every() -> Iterator[tuple[str, str]]:
    for text, words in words_by_text().items():
        here = [word for word in words if not word.is_name and not word.path.startswith("labels.")]
        if here:
            yield text, here[0].file
    from tests.page_words import DOMAINS, texts_by_key  # knows models: Django must stand

    for domain in DOMAINS:
        for key, files in texts_by_key(domain).items():
            if isinstance(key, str):
                yield key, files[0]


def read() -> Catalog:
    with PO.open("rb") as file:
        return read_po(file, locale="en_GB")


def write() -> int:
    """How many texts were new, and so want to be read."""
    known = translations(read()) if PO.exists() else {}
    catalog = Catalog(
        "en_GB", "django", HEAD, "Loftbook", "1", creation_date=BEGUN, revision_date=BEGUN,
        language_team="en_GB", last_translator="Loftbook", charset="utf-8", fuzzy=False,
        msgid_bugs_address="none",
    )  # fmt: skip
    found = texts()
    for text, where in found.items():
        message = catalog.add(text, known.get(text) or proposed(text), [(where, 0)])
        if message is not None:
            message.flags = set()
    PO.parent.mkdir(parents=True, exist_ok=True)
    PO.write_bytes(as_po(catalog))
    with PO.with_suffix(".mo").open("wb") as compiled:
        write_mo(compiled, catalog)
    return len(found.keys() - known.keys())


def main() -> None:
    import os

    import django

    import tests.environment  # noqa: F401 - its settings

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    print(f"en_GB: {len(texts())} texts, {write()} of them new")


if __name__ == "__main__":
    main()
