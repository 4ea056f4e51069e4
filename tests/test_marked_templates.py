"""Every text of every template is marked for translation; what is not is listed, and only shrinks."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1] / "templates"
# Names, codes and signs that are the same in every language.
THE_SAME = frozenset(
    {
        "Loftbook", "SHA", "PDF", "CSV", "JSON", "json", "UTC", "record", "mm", "kg", "kN", "html", "lang",
        "nbsp", "xlsx", "csv", "MB", "kB", "PT", "manage", "py", "python", "venv",
    }
)  # fmt: skip
# The element of a tag, put together of pieces.
NOT_TEXT = frozenset({"allauth/elements/button.html"})
UNREAD = re.compile(
    r"\{%\s*comment\b.*?endcomment\s*%\}|\{#.*?#\}|\{%\s*blocktranslate\b.*?endblocktranslate\s*%\}"
    r"|\{%\s*block (?:width|body_facts|look)\s*%\}.*?\{%\s*endblock\b.*?%\}|<!--.*?-->|<!doctype[^>]*>"
    r"|<script\b.*?</script>|<style\b.*?</style>|<code\b.*?</code>",
    re.DOTALL,
)
HEARD = re.compile(r'(?<![\w-])(?:placeholder|aria-label|title|alt|data-label)="([^"]*)"')
INSIDE = re.compile(r"\{%.*?%\}|\{\{.*?\}\}", re.DOTALL)
GIVEN = re.compile(r'=(?:\|\w+:)?"([A-Z][^"]*)"')
TAG = re.compile(r"</?[a-zA-Z][^<>]*>")
WORD = re.compile(r"[A-Za-zÀ-ÿ]{2,}")


def unmarked(template: str) -> list[str]:
    """The words of a template that stand in no translate tag.

    >>> unmarked('<p>{% translate "Marked" %} <b title="Heard">{{ name }}</b> bare</p>')
    ['bare', 'Heard']
    >>> unmarked('{% include "a.html" with title=_("Marked") words="Not so" %}')
    ['Not', 'so']
    """
    text = INSIDE.sub(" ", UNREAD.sub(" ", template))
    given = " ".join(
        tag for tag in INSIDE.findall(template) if tag.split()[1] in ("include", "with")
    )
    pieces = [TAG.sub(" ", text), *HEARD.findall(text), *GIVEN.findall(given)]
    return [word for piece in pieces for word in WORD.findall(piece) if word not in THE_SAME]


def test_no_text_of_a_template_is_unmarked() -> None:
    templates = sorted(file for file in ROOT.rglob("*.*") if file.suffix in (".html", ".txt"))
    assert len(templates) > 200
    left = {
        file.relative_to(ROOT).as_posix(): words
        for file in templates
        if (words := unmarked(file.read_text(encoding="utf-8")))
    }
    assert {name: words for name, words in left.items() if name not in NOT_TEXT} == {}
    assert set(left) >= NOT_TEXT, "a template that is excused no longer needs to be"


# What a plural is chosen by must be a number, and what a name is given to a plain name.
SPOILT = re.compile(r"\b(?:count \w+=[^\s%]*\|said(?:_each)?(?=[\s%])|asvar \w+\|)")


def test_no_count_is_made_words() -> None:
    assert SPOILT.search("{% blocktranslate count names=names|said_each %}")
    assert SPOILT.search("{% blocktranslate asvar words|said with gap=gap %}")
    assert not SPOILT.search("{% blocktranslate count others=shared|said_each|length %}")
    spoilt = {file.name for file in ROOT.rglob("*.*") if SPOILT.search(file.read_text("utf-8"))}
    assert spoilt == set()
