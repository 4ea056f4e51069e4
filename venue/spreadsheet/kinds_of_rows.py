"""Which kind each row is, by the words that the file uses for it. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from venue.kind_files import kinds
from venue.spreadsheet.saying import OUT
from venue.spreadsheet.words import KindGuess, guess_kind

NO_WORD = "(no word for it)"


@dataclass
class KindWord:
    """A word of the file and the kind it is taken for; empty where nobody knows yet."""

    word: str
    slug: str
    sure: bool
    count: int = 0

    @property
    def has_no_word(self) -> bool:
        return self.word == NO_WORD

    @property
    def is_out(self) -> bool:
        return self.slug == OUT


class KindWords:
    """Every word of a file, in the order in which it is met."""

    def __init__(self, said: Mapping[str, str]) -> None:
        self.said = said
        self.met: dict[str, KindWord] = {}

    def kind_of(self, kind: str, name: str, group: str, sheet: str) -> KindWord:
        word, guess = word_of(kind, name, group, sheet)
        if word not in self.met:
            said = self.said.get(word, "")
            slug = said or (guess.slug if guess else "")
            self.met[word] = KindWord(word, slug, bool(said) or bool(guess and guess.sure))
        self.met[word].count += 1
        return self.met[word]


def word_of(kind: str, name: str, group: str, sheet: str) -> tuple[str, KindGuess | None]:
    """The row's own word decides; where it is not sure of itself its name may settle which of the
    family is meant. A row without a word takes that of its name, of the heading above it, or of
    its sheet.

    >>> word_of("Winch", "Canopy winch", "", "")[0], word_of("CW set", "Border, grid 4", "", "")[0]
    ('Winch: canopy winch', 'CW set')
    >>> word_of("", "Number 3", "CHAIN HOISTS", "Sheet1")[0]
    'CHAIN HOISTS'
    """
    own, by_name = guess_kind(kind), guess_kind(name)
    if own and own.sure:
        return kind, own
    if by_name and by_name.sure and _settles(own, by_name, kind):
        return (f"{kind}: {by_name.words}" if kind else by_name.words), by_name
    if kind:
        return kind, own
    for text in (group, sheet):
        if guess := guess_kind(text):
            return text, guess
    if by_name:
        return by_name.words, by_name
    return group or NO_WORD, None


def _settles(own: KindGuess | None, by_name: KindGuess, kind: str) -> bool:
    """A name that speaks of a grid makes no gridiron of a counterweight set."""
    if own is None:
        return not kind
    return kinds()[own.slug].family == kinds()[by_name.slug].family
