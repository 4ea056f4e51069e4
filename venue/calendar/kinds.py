"""What a booking is, by the words in it; the rules are the manager's own. Pure.

A rule holds phrases parted by commas. A phrase is found as whole words, whatever the capitals,
accents and punctuation; a star stands for the rest of a word: “rehears*” finds rehearsal and
rehearsing. A phrase in double quotes must be the whole text.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo
from functools import lru_cache

from venue.calendar.instants import instant
from venue.calendar.shapes import Occurrence

UNKNOWN = "unknown"
ITSELF, BEFORE, AFTER = "", "before", "after"
KIND_OF_PIECE = {BEFORE: "load_in", AFTER: "load_out"}
WORDS_OF_PIECE = {BEFORE: "load-in", AFTER: "load-out"}
ANYWHERE = "anywhere"
LONGEST = 200
HALF_A_DAY = timedelta(hours=12)


@dataclass(frozen=True)
class KindRule:
    """Words, where they are looked for, and what a booking with them is."""

    words: str
    where: str
    what: str
    leaves: tuple[str, ...] = ()
    before: int = 0  # half-days of load-in
    after: int = 0  # half-days of load-out

    def finds(self, title: str, categories: str, location: str) -> bool:
        """
        >>> KindRule("get-in, rehears*", "title", "other").finds("Réhearsal, act 2", "", "")
        True
        >>> KindRule("dark", "title", "dark").finds("Darkness falls", "dark", "")
        False
        >>> quoted = KindRule('"dark"', "title", "dark")
        >>> quoted.finds("DARK", "", ""), quoted.finds("Dark Tides", "", "")
        (True, False)
        """
        texts = {"title": title, "categories": categories, "location": location}
        looked_at = texts.values() if self.where == ANYWHERE else [texts[self.where]]
        found = [_words(text) for text in looked_at]
        return any(phrase.is_in(text) for phrase in _phrases(self.words) for text in found)


@dataclass(frozen=True)
class Wanted:
    """A booking as the calendar and the rules have it."""

    uid: str
    original: str
    piece: str
    what: str
    title: str
    starts: datetime
    ends: datetime
    all_day: bool = False
    leaves: tuple[str, ...] = ()
    location: str = ""
    categories: str = ""
    notes: tuple[str, ...] = ()


def plain(text: str) -> str:
    """Without capitals, accents and punctuation.

    >>> plain("Matinée:  GET-IN")
    'matinee get in'
    """
    return " ".join(_letters(text).split())


@lru_cache(maxsize=20_000)
def _words(text: str) -> tuple[str, ...]:
    # Every rule looks at the same texts.
    return tuple(plain(text).split())


def _letters(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(c for c in apart if not unicodedata.combining(c))
    return re.sub(r"[\W_]", " ", letters)


@dataclass(frozen=True)
class _Phrase:
    """Words with stars in them, and whether they must be the whole text."""

    words: tuple[str, ...]
    whole: bool

    def is_in(self, text: tuple[str, ...]) -> bool:
        length = len(self.words)
        if self.whole:
            return length == len(text) and self._begins(text, 0)
        return any(self._begins(text, place) for place in range(len(text) - length + 1))

    def _begins(self, text: tuple[str, ...], place: int) -> bool:
        return all(_fits(word, text[place + n]) for n, word in enumerate(self.words))


def _fits(word: str, text: str) -> bool:
    """Whether a word with stars is a word of the text; each part is looked for once, so it never
    takes long."""
    first, *rest = word.split("*")
    if not rest:
        return word == text
    *between, last = rest
    if not text.startswith(first) or len(first) + len(last) > len(text) or not text.endswith(last):
        return False
    place, end = len(first), len(text) - len(last)
    for part in between:
        found = text.find(part, place, end)
        if found < 0:
            return False
        place = found + len(part)
    return True


@lru_cache(maxsize=500)
def _phrases(words: str) -> tuple[_Phrase, ...]:
    return tuple(_phrase(phrase.strip()) for phrase in words.split(",") if plain(phrase))


def _phrase(phrase: str) -> _Phrase:
    quoted = len(phrase) > 2 and phrase[0] == phrase[-1] == '"'
    starred = "*".join(_letters(part) for part in phrase.split("*"))
    return _Phrase(tuple(word for word in starred.split() if word != "*"), quoted)


def words_of(title: str) -> str:
    """A phrase that finds exactly the bookings of this title, whatever their punctuation.

    >>> words_of("Brass and Bunting, two houses")
    '"brass and bunting two houses"'
    """
    return f'"{plain(title)}"' if plain(title) else ""


def recognised(one: Occurrence, rules: Iterable[KindRule]) -> KindRule | None:
    """The first rule that finds its words."""
    found = (rule for rule in rules if rule.finds(one.title, one.categories, one.location))
    return next(found, None)


def wanted(one: Occurrence, rules: Iterable[KindRule], house: tzinfo) -> list[Wanted]:
    """The booking itself, and the half-days of load-in and load-out that its rule adds. What no
    rule knows is unknown and leaves nothing accessible."""
    rule = recognised(one, rules)
    itself = Wanted(
        uid=one.uid, original=one.original, piece=ITSELF, what=rule.what if rule else UNKNOWN,
        title=one.title, starts=one.starts, ends=one.ends, all_day=one.all_day,
        leaves=rule.leaves if rule else (), location=one.location, categories=one.categories,
        notes=one.notes,
    )  # fmt: skip
    found = [itself]
    if rule and rule.before:
        begin = _half_day(one.starts, house) - rule.before * HALF_A_DAY
        found.append(_piece(one, BEFORE, instant(begin, house), one.starts))
    if rule and rule.after:
        last = _half_day(one.ends - timedelta(microseconds=1), house)
        end = instant(last + (rule.after + 1) * HALF_A_DAY, house)
        found.append(_piece(one, AFTER, one.ends, end))
    return [each for each in found if each.ends > each.starts]


def _half_day(moment: datetime, house: tzinfo) -> datetime:
    """The midnight or noon, on the clock of the house, that begins the half-day of a moment."""
    local = moment.astimezone(house)
    return datetime.combine(local.date(), time(0 if local.hour < 12 else 12))


def _piece(one: Occurrence, piece: str, starts: datetime, ends: datetime) -> Wanted:
    words = f": {WORDS_OF_PIECE[piece]}"
    return Wanted(
        uid=one.uid, original=one.original, piece=piece, what=KIND_OF_PIECE[piece],
        title=one.title[: LONGEST - len(words)] + words, starts=starts, ends=ends,
        location=one.location,
    )  # fmt: skip
