"""The catalogues of the words in data files: `python -m tests.data_words` brings them up to date.

It adds what is new without a translation, drops what is gone, says anew where each text stands and
compiles what is translated. It translates nothing; that is written by hand in the .po files.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import read_mo, write_mo
from babel.messages.pofile import read_po, write_po

from inspections.data_word_places import ROOT
from inspections.data_words import DataWord, data_words

LANGUAGES = ("de", "es")
FOLDER = ROOT / "inspections" / "locale"
MOST_FILES = 4  # the same words stand in forty regimes; the first few say enough
BEGUN = datetime(2026, 11, 26, tzinfo=UTC)
HEAD = """\
# Words of the data files: regimes, kinds, rule sets, reports, and the closed lists beside them.
# The keys are the exact English texts. `python -m tests.data_words` says where each stands, adds
# what is new and compiles; nothing else writes here. Trade words: docs/words-in-three-languages.md"""
FIGURE = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")
PLACEHOLDER = re.compile(r"\{[^{}]*\}|%\(\w+\)[sd]|%[sd]\b")


def po_file(language: str) -> Path:
    return FOLDER / language / "LC_MESSAGES" / "django.po"


def read(language: str) -> Catalog:
    with po_file(language).open("rb") as file:
        return read_po(file, locale=language)


def compiled(language: str) -> Catalog:
    with po_file(language).with_suffix(".mo").open("rb") as file:
        return read_mo(file)


def translations(catalog: Catalog) -> dict[str, str]:
    """What stands there for each text; the head of the file is none."""
    return {str(each.id): str(each.string) for each in catalog if each.id and not each.fuzzy}


@cache
def words_by_text() -> dict[str, list[DataWord]]:
    found: dict[str, list[DataWord]] = {}
    for word in data_words():
        found.setdefault(word.text, []).append(word)
    return found


def made_anew(language: str, known: dict[str, str]) -> Catalog:
    """The catalogue of what the data files hold now, with the translations that are known."""
    catalog = Catalog(
        language, "django", HEAD, "Loftbook", "1", creation_date=BEGUN, revision_date=BEGUN,
        language_team=language, last_translator="Loftbook", charset="utf-8", fuzzy=False,
        msgid_bugs_address="none",
    )  # fmt: skip
    for text, words in words_by_text().items():
        files = [(file, 0) for file in dict.fromkeys(word.file for word in words)][:MOST_FILES]
        paths = list(dict.fromkeys(word.path for word in words))
        message = catalog.add(text, known.get(text, ""), files, auto_comments=paths)
        if message is not None:
            message.flags = set()  # "10 % of" is no place to fill in
    return catalog


def as_po(catalog: Catalog) -> bytes:
    written = BytesIO()
    write_po(written, catalog, width=100)
    lines = written.getvalue().decode().splitlines()
    return ("\n".join(line for line in lines if "Generated-By" not in line) + "\n").encode()


def write(language: str) -> int:
    """Bring one catalogue up to date; how many of its texts have no translation."""
    file = po_file(language)
    known = translations(read(language)) if file.exists() else {}
    catalog = made_anew(language, known)
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(as_po(catalog))
    with file.with_suffix(".mo").open("wb") as compiled_file:
        write_mo(compiled_file, catalog)
    return len(untranslated(catalog))


def untranslated(catalog: Catalog) -> list[str]:
    return [str(each.id) for each in _texts(catalog) if not each.string or each.fuzzy]


def _texts(catalog: Catalog) -> Iterator[Message]:
    return (each for each in catalog if each.id)


def figures(text: str) -> list[str]:
    """The numbers of an English text, in order of size of their text: "5,000 lb" has 5000.

    >>> figures("2.5 to 3 %, 5,000 lb")
    ['2.5', '3', '5000']
    """
    return sorted(number.replace(",", "") for number in FIGURE.findall(text))


def figures_of_translation(text: str) -> list[str]:
    """The same of a translation, which may write 2,5 for 2.5 and no mark between thousands.

    >>> figures_of_translation("2,5 bis 3 %, 5000 lb")
    ['2.5', '3', '5000']
    """
    return sorted(number.replace(",", ".") for number in re.findall(r"\d+(?:[.,]\d+)?", text))


def placeholders(text: str) -> set[str]:
    return set(PLACEHOLDER.findall(text))


if __name__ == "__main__":
    for each in LANGUAGES:
        print(f"{each}: {len(words_by_text())} texts, {write(each)} without a translation")
