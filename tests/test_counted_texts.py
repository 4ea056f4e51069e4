"""What is counted is told of one as well as of several: no text says that 1 of them lie somewhere."""

from __future__ import annotations

import re

import pytest

from tests.page_words import read

# At the head of a sentence a number that is put in, what is counted, and a verb of several.
SEVERAL = re.compile(
    r"(?P<head>(?:^|.*[.;:>] ))(?:\{\d\}|%\(\w+\)s) "
    r"(?:of (?:its|their|them|these|those|your|the|about \S+|\{\d\}|%\(\w+\)s) )?"
    r"(?:[a-z-]+ ){0,4}?(?:lie|are|were|have|need|wait|stand|belong|come)\b"
)
PLACE = re.compile(r"\{\d\}|%\(\w+\)s")
# Why the number is never one, by the head of the text.
NEVER_ONE = {
    "{1} pieces of equipment are too many": "it is more than the most of a report",
    "{1} of them are in hand already": "it is the most that may wait",
    "{1} photographs belong": "of one it is “a photograph”",
    "{1} quarter-hours of people are missing": "it is told in hours",
    "{1} of your questions wait": "it is the most that may be open",
}


def counted_wrongly(texts: frozenset[str]) -> list[str]:
    """Texts that are not told of one.

    >>> counted_wrongly(frozenset({"{1} of its tasks lie before today."}))
    ['{1} of its tasks lie before today.']
    >>> counted_wrongly(frozenset({"{1} tasks lie here.", "1 task lies here."}))
    []
    """
    heads = [text for text in texts if found_in(text)]
    return sorted(text for text in heads if not _is_told_of_one(text, texts))


def found_in(text: str) -> re.Match[str] | None:
    return SEVERAL.match(text)


def _is_told_of_one(text: str, texts: frozenset[str]) -> bool:
    found = found_in(text)
    head = found["head"] if found else ""
    rest = _beginning(text[len(head) :].split()[1:])
    of_one = (each[len(head) :].split() for each in texts if each.startswith(f"{head}1 "))
    return text.startswith(tuple(NEVER_ONE)) or any(_beginning(each[1:]) == rest for each in of_one)


def _beginning(words: list[str]) -> list[str]:
    """Enough of what is counted to be the same of one and of several."""
    return [PLACE.sub("{}", word)[:2] for word in words[: 3 if words[:1] == ["of"] else 1]]


@pytest.mark.parametrize(("domain", "some"), [("said", 10), ("django", 0)])
def test_what_is_counted_is_told_of_one_too(domain: str, some: int) -> None:
    """The English of the catalogues: a text that has its one by `count` is a pair there."""
    ids = [each.id for each in read("de", domain)]
    texts = frozenset(text for text in ids if isinstance(text, str) and text)
    assert len(texts) > 600
    assert len([text for text in texts if found_in(text)]) >= some
    assert counted_wrongly(texts) == []
    unused = [head for head in NEVER_ONE if not any(each.startswith(head) for each in texts)]
    assert domain == "django" or unused == []
