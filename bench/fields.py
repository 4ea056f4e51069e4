"""The fields of a page, as a browser would find them."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import NamedTuple


class Field(NamedTuple):
    label: str
    kind: str
    name: str
    value: str


class _Fields(HTMLParser):
    """Every input, select and text area of a question, with the words before or around it."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[Field] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "label":
            self.words = ""
        if tag in ("input", "select", "textarea") and ":" in said.get("name", ""):
            kind = said.get("type", "text")
            self.found.append(Field(self.words, kind, said["name"], said.get("value", "")))

    def handle_data(self, data: str) -> None:
        self.words = f"{self.words} {data.strip()}".strip()[:300]


def fields_of(page: str) -> list[Field]:
    """The fields of a check page's questions, in their order."""
    reader = _Fields()
    reader.feed(page)
    return reader.found
