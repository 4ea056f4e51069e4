"""Propose what each column is for, from the words over it and from what its cells look like. Pure."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from datetime import date
from functools import cache

from venue.spreadsheet.looks import ENOUGH, Looks, looks_of
from venue.spreadsheet.table import Table
from venue.spreadsheet.targets import LAST_DONE, NOTE, NOTHING, Target, targets
from venue.spreadsheet.words import column_words, has_word, plain, unit_in

EXACT, WITHIN, NEAR, LOOKS_SO, LOOKS_OTHERWISE = 20, 10, 8, 6, -16
LEAST = 5  # below it a column is only kept as a note
NEAR_ENOUGH = 0.86
MAY_REPEAT = (NOTE, NOTHING)


@dataclass(frozen=True)
class ColumnGuess:
    target: str
    why: str  # in words, for whoever looks at the proposal
    unit: str
    looks: Looks


def propose(table: Table, today: date) -> list[ColumnGuess]:
    """One guess for each column. A target goes to the column that fits it best."""
    columns = range(len(table.headings))
    looks = [
        looks_of([row.cells[place] for row in table.things], unit_in(table.headings[place]), today)
        for place in columns
    ]
    fits = sorted(
        (
            (-score, place, key, why)
            for place in columns
            for key, (score, why) in _scores(table.headings[place], looks[place], today).items()
            if score >= LEAST
        ),
    )
    given: dict[int, tuple[str, str]] = {}
    for _, place, key, why in fits:
        taken = {target for target, _ in given.values()} - set(MAY_REPEAT)
        if place not in given and key not in taken:
            given[place] = (key, why)
    return [
        ColumnGuess(*given.get(place, _left_over(looks[place])), unit_in(table.headings[place]),
                    looks[place])
        for place in columns
    ]  # fmt: skip


def _left_over(looks: Looks) -> tuple[str, str]:
    if not looks.filled:
        return (NOTHING, "the column is empty")
    return (NOTE, "not recognised; kept as a note")


def _scores(heading: str, looks: Looks, today: date) -> dict[str, tuple[int, str]]:
    if not looks.filled:
        return {}
    by_word = _by_heading(heading, today)
    found = {key: (score, "by its heading") for key, score in by_word.items()}
    for key, (score, why) in list(found.items()):
        found[key] = (score + _fit(targets()[key], looks), why)
    for key, why in _by_looks(looks).items():
        before = found.get(key, (0, ""))
        found[key] = (before[0] + LOOKS_SO, before[1] or why)
    return found


def _by_heading(heading: str, today: date) -> dict[str, int]:
    """The heading with and without the unit in it: "SWL (kg)" is "SWL"."""
    whole, unit = plain(heading), plain(unit_in(heading))
    bare = whole.removesuffix(unit).strip() if unit else whole
    if not bare:
        return {}
    found = _by_words(whole, bare)
    if has_word(whole, "next") or _names_a_coming_year(whole, today):
        found.pop(LAST_DONE, None)
    return found


def _names_a_coming_year(text: str, today: date) -> bool:
    return any(int(year) > today.year for year in re.findall(r"\b20\d\d\b", text))


def _by_words(whole: str, bare: str) -> dict[str, int]:
    words, found = all_words(), {}
    for text in {whole, bare}:
        if text in words:
            found[words[text]] = EXACT
    if found:
        return found
    for known, key in words.items():
        if len(known) > 2 and f" {known} " in f" {bare} ":
            found[key] = max(found.get(key, 0), WITHIN + len(known.split()))
    if found:
        return found
    close = difflib.get_close_matches(bare, words, n=1, cutoff=NEAR_ENOUGH)
    return {words[close[0]]: NEAR} if close and len(bare) > 3 else {}


@cache
def all_words() -> dict[str, str]:
    """People's words first, then the labels of this book."""
    found = dict(column_words())
    for target in targets().values():
        for text in (target.words, target.key.partition(": ")[2].replace("_", " ")):
            if plain(text):
                found.setdefault(plain(text), target.key)
    return found


def _fit(target: Target, looks: Looks) -> int:
    """Whether the cells can be what the heading says."""
    if target.day:
        return LOOKS_SO if looks.days >= ENOUGH else LOOKS_OTHERWISE // 2
    if target.dimension and looks.dimension:
        return LOOKS_SO if looks.dimension == target.dimension else LOOKS_OTHERWISE
    if target.key == "kind":
        return LOOKS_SO if looks.kinds >= ENOUGH else -3
    if target.key == "tag":
        return LOOKS_SO if looks.tags >= ENOUGH else -3
    return 0


def _by_looks(looks: Looks) -> dict[str, str]:
    """What the cells alone speak for."""
    found = {}
    if looks.kinds >= ENOUGH and looks.tags < ENOUGH:
        found["kind"] = "its cells name kinds of equipment"
    if looks.tags >= ENOUGH and looks.all_differ and not looks.dimension:
        found["tag"] = "its cells look like tags, all different"
    return found
