"""Every word that people read and that stands in a data file, with where it stands. Pure.

A catalogue of translations takes the exact English text as its key, so a text that is changed in a
data file has no translation until one is written: a test holds both side by side. `python -m
tests.data_words` brings the catalogues of inspections/locale up to what is found here.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from inspections.data_word_places import PLACES, ROOT, Place
from inspections.phone_message import FLAG_WORDS
from inspections.regime_proposals import LEVEL_WORDS
from rigging.engine.conditions import CONDITIONS
from rigging.engine.losses import LOSS_WORDS
from rigging.engine.rope import FACT_WORDS
from rigging.engine.verdicts import ASKS, CAUTION, STATES, Verdict
from rigging.engine.wire_counts import ZONE_WORDS
from venue.kind_fields import in_words
from venue.kind_shapes import ACCESS_WORDS, UNVERIFIED, VERIFIED

# Closed lists of words that stand in code and are shown beside those of the files.
LISTS: Mapping[str, Iterable[str]] = {
    "venue/kind_shapes.py ACCESS_WORDS": ACCESS_WORDS.values(),
    "venue/kind_shapes.py VERIFIED": (*VERIFIED, *UNVERIFIED),
    "rigging/engine/verdicts.py STATES": STATES,
    "rigging/engine/verdicts.py Verdict": [str(each) for each in Verdict],
    "rigging/engine/verdicts.py ASKS": ASKS,
    "rigging/engine/verdicts.py CAUTION": (CAUTION,),
    "rigging/engine/conditions.py CONDITIONS": CONDITIONS.values(),
    "rigging/engine/rope.py FACT_WORDS": FACT_WORDS.values(),
    "rigging/engine/losses.py LOSS_WORDS": LOSS_WORDS.values(),
    "rigging/engine/wire_counts.py ZONE_WORDS": ZONE_WORDS.values(),
    "inspections/regime_proposals.py LEVEL_WORDS": LEVEL_WORDS.values(),
    "inspections/phone_message.py FLAG_WORDS": FLAG_WORDS.values(),
}


@dataclass(frozen=True)
class DataWord:
    text: str
    file: str
    path: str
    is_name: bool = False  # of a document or an edition: it may stay as it is


class UnknownPath(ValueError):
    """A text in a data file of which nobody said whether people read it."""


def data_words() -> list[DataWord]:
    """Every text, once for each file and path it stands in, in the order of the files."""
    found = [word for place in PLACES for word in _words_of(place)]
    for where, texts in LISTS.items():
        file, _, path = where.partition(" ")
        found += [DataWord(text, file, path) for text in texts]
    return list(dict.fromkeys(found))


def _words_of(place: Place) -> Iterator[DataWord]:
    for file in sorted(ROOT.glob(place.files)):
        name = file.relative_to(ROOT).as_posix()
        raw = tomllib.loads(file.read_text(encoding="utf-8"))
        for path, text in texts_in(raw):
            word = word_at(place, name, path, text)
            if word is not None and word.text:
                yield word


def texts_in(raw: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Each text with its path of keys; places in a list do not count.

    >>> list(texts_in({"check": [{"question": "Is it whole?", "count": 2}]}))
    [('check.question', 'Is it whole?')]
    """
    if isinstance(raw, str):
        yield path, raw
    elif isinstance(raw, Mapping):
        for key, value in raw.items():
            yield from texts_in(value, f"{path}.{key}" if path else key)
    elif isinstance(raw, list):
        for value in raw:
            yield from texts_in(value, path)


def word_at(place: Place, file: str, path: str, text: str) -> DataWord | None:
    """The word at a path, or None where it is none; a path that is not listed is refused."""
    if path in place.words:
        return DataWord(text, file, path)
    if path in place.coded:
        return DataWord(in_words(text), file, path)
    if path in place.names:
        return DataWord(text, file, path, is_name=True)
    if path in place.other or any(
        end.endswith(".") and path.startswith(end) for end in place.other
    ):
        return None
    raise UnknownPath(f"{file}: is {path} read by people? inspections/data_word_places.py says")
