"""What a page says, as a reader meets it: one line for each block, and what is wrong in such a line."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from html.parser import HTMLParser

from django.test import Client
from django.urls import Resolver404, resolve

UNSEEN = {"script", "style", "svg", "template"}
INLINE = {"a", "abbr", "b", "bdi", "code", "em", "i", "kbd", "mark", "q", "s", "small", "span",
          "strong", "sub", "sup", "time", "u", "var"}  # fmt: skip
# "1 1/2 in" is a number; a word is of letters.
DOUBLED = re.compile(r"\b([^\W\d_]+) \1\b", re.IGNORECASE)
LOOSE = re.compile(r"\s:(?=\s|$)")


class PageText(HTMLParser):
    """Lines and addresses of a page, and the labels that a phone would show beside nothing."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.addresses: list[str] = []
        self.bare_labels: list[str] = []
        self.unseen = 0
        self.cell: tuple[str, int] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.unseen += tag in UNSEEN
        if tag == "a" and given.get("href"):
            self.addresses.append((given["href"] or "").split("#")[0])
        if tag not in INLINE:
            self.words.append("\0")
        if tag == "td":
            label = given.get("data-label")
            self.cell = (label, len(self.words)) if label else None

    def handle_endtag(self, tag: str) -> None:
        self.unseen -= tag in UNSEEN
        if tag == "td" and self.cell:
            label, since = self.cell
            if not "".join(self.words[since:]).strip("\0 \n"):
                self.bare_labels.append(label)
            self.cell = None
        if tag not in INLINE:
            self.words.append("\0")

    def handle_data(self, data: str) -> None:
        if not self.unseen:
            self.words.append(data)

    def lines(self) -> list[str]:
        lines = (" ".join(line.split()) for line in "".join(self.words).split("\0"))
        return [line for line in lines if line]


def read(page: str) -> PageText:
    text = PageText()
    text.feed(page)
    return text


def faults(text: PageText) -> Iterator[str]:
    """A word twice, a colon that stands alone, a label beside nothing.

    >>> list(faults(read("<p>A number is in in</p><p><b>Retire</b> : 6</p><p>I saw</p><p>Saw it</p>")))
    ['in in: A number is in in', 'loose colon: Retire : 6']
    >>> list(faults(read('<td data-label="Verdict"><div> </div></td><td data-label="Answer">Yes')))
    ['Verdict: beside nothing']
    """
    for line in text.lines():
        yield from (f"{each.group()}: {line[:200]}" for each in DOUBLED.finditer(line))
        if LOOSE.search(line):
            yield f"loose colon: {line[:200]}"
    yield from (f"{label}: beside nothing" for label in text.bare_labels)


def walked(client: Client, start: str, of_a_kind: int) -> Iterator[tuple[str, PageText]]:
    """Every page that links lead to from the start, so many of each kind."""
    to_come, seen, kinds = [start], {start}, Counter[str]()
    while to_come:
        address = to_come.pop(0)
        kind = _kind(address)
        kinds[kind] += 1
        if not kind or kinds[kind] > of_a_kind:
            continue
        answer = client.get(address, follow=True)
        if answer.streaming or "text/html" not in answer.headers["Content-Type"]:
            continue
        assert answer.status_code == 200, address
        text = read(answer.content.decode())
        yield address, text
        for more in _full(text.addresses, address):
            if more not in seen:
                seen.add(more)
                to_come.append(more)


def _full(addresses: list[str], page: str) -> Iterator[str]:
    for each in addresses:
        yield page.split("?")[0] + each if each.startswith("?") else each


def _kind(address: str) -> str:
    """The name of the address; empty for what is outside of a venue."""
    try:
        found = resolve(address.split("?")[0])
    except Resolver404:
        return ""
    name = f"{found.url_name} {found.kwargs.get('calculator', '')} {'?' in address}"
    return name if found.kwargs.get("slug") else ""
