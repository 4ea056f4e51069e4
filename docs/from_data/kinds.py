"""Kinds of equipment and of parts: what the register asks, in which units, and from which sources."""

from __future__ import annotations

from collections.abc import Iterator

from docs.from_data.markdown import (
    bullets,
    capital,
    code,
    joined,
    plain,
    source_words,
    table,
    target,
)  # fmt: skip
from inspections.regime_files import regimes
from inspections.regime_fit import serves
from venue.kind_files import Field, Kind, PartKind, Source, in_words, kinds, part_kinds
from venue.kind_shapes import ACCESS_WORDS
from venue.quantities import UNITS

TYPES = {
    "quantity": "a quantity", "text": "text", "whole_number": "a whole number",
    "choice": "a choice", "date": "a day", "yes_no": "yes or no",
}  # fmt: skip


def pages() -> dict[str, str]:
    return {
        "kinds": joined(_equipment()),
        "kinds-of-parts": joined(_parts()),
    }


def _equipment() -> Iterator[str]:
    yield "# Kinds of equipment"
    yield (
        "What may stand in the register, what is asked about it and in which units. A kind is one file "
        "in `venue/kinds/` ([Adding a kind](../adding-a-kind.md)); what its parts are asked stands "
        "under [Kinds of parts](kinds-of-parts.md). Needed fields may be left “not known”: whatever asks "
        "for them then cannot be decided."
    )
    yield "```{toctree}\n:hidden:\n\nkinds-of-parts\n```"
    for kind in sorted(kinds().values(), key=lambda kind: (kind.group, kind.label("en-US"))):
        yield joined(_kind(kind))


def _kind(kind: Kind) -> Iterator[str]:
    yield from _head(kind)
    yield f"Listed under {plain(kind.group)}; regimes for the family {code(kind.family)} fit it."
    yield "To look at it: " + "; ".join(plain(ACCESS_WORDS[word]) for word in kind.access) + "."
    yield "What it can do to people:\n\n" + bullets(map(plain, kind.hazards))
    yield _fields(kind.fields)
    loads = [
        (plain(load.label), code(load.purpose), _units(load.unit_metric, load.unit_us))
        for load in kind.rated_loads
    ]
    yield table(("Rated load", "Short name", "Unit"), loads)
    slots = [
        (plain(slot.label), f"[{plain(part_kinds()[slot.kind].label('en-US'))}](#part-{slot.kind})",
         "several" if slot.many else "one")
        for slot in kind.part_kinds
    ]  # fmt: skip
    yield table(("Part", "Kind of part", "How many"), slots)
    fitting = [regime for regime in regimes().values() if serves(regime, kind)]
    yield "Regimes that fit it: " + ", ".join(
        f"[{plain(regime.title)}](#regime-{regime.slug})" for regime in fitting
    ) + "."  # fmt: skip
    yield _sources(kind.sources)


def _parts() -> Iterator[str]:
    yield "# Kinds of parts"
    yield (
        "Parts have a life of their own: they are put in, looked at, replaced and retired by themselves. "
        "A kind of part is one file in `venue/kinds/parts/`."
    )
    for kind in sorted(part_kinds().values(), key=lambda kind: kind.label("en-US")):
        fields = _fields(kind.fields)
        yield joined((*_head(kind, "part"), fields, _sources(kind.sources)))


def _head(kind: PartKind, what: str = "kind") -> Iterator[str]:
    american, british = kind.label("en-US"), kind.label("en-GB")
    yield target(f"{what}-{kind.slug}")
    yield f"## {plain(american)}"
    also = f" In British houses: {plain(british)}." if british != american else ""
    yield f"{plain(kind.description)}{also} Short name in files: {code(kind.slug)}."


def _fields(fields: tuple[Field, ...]) -> str:
    rows = [
        (
            plain(field.label), code(field.name), _answer(field),
            "needed" if field.required else "", plain(field.help),
        )
        for field in fields
    ]  # fmt: skip
    return table(("Field", "Short name", "Answer", "", "What is meant"), rows)


def _answer(field: Field) -> str:
    if field.type == "quantity":
        return _units(field.unit_metric, field.unit_us)
    if field.type == "choice":
        return " / ".join(plain(in_words(choice)) for choice in field.choices)
    return TYPES[field.type]


def _units(metric: str, american: str) -> str:
    labels = dict.fromkeys(UNITS[unit].label or "a number" for unit in (metric, american))
    return " or ".join(plain(label) for label in labels)


def _sources(sources: tuple[Source, ...]) -> str:
    rows = [
        (source_words(source), plain(source.backs), source.verified) for source in sources
    ]  # fmt: skip
    return table((capital("source"), "What it backs", "How well"), rows)
