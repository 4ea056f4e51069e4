"""Read the kinds of report from their files. Pure.

A kind says what it is called, who may sign it and with which meanings, which items it must hold by
which clause, and which builder tells its content. A file with an unknown key, without a meaning, or
with an item that names no clause is refused with its name: a wrong list would be signed for years.
"""

from __future__ import annotations

import hashlib
import tomllib
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from typing import Any

from inspections.reports.matter import Item, Source

FOLDER = Path(__file__).parent / "kinds"
# What the page of the kind asks for first, by the name of its form.
ASKS = ("span", "record", "rope", "return")
LEVELS = ("trained_user", "competent_person", "qualified_person", "outside_examiner")
VERIFIED = ("document", "two documents", "second-hand", "from memory", "common practice")
SOURCE_KEYS = {each.name for each in fields(Source)}
ITEM_KEYS = {"key", "number", "words", "clause", "verified", "required", "hint"}
LONGEST_SLUG = 16
# The keys of items that the signature itself fills in.
BY_SIGNATURE = ("signature", "signer", "reported_on")


class FaultyReportKind(ValueError):
    """A kind's file cannot be used; the message names the file and the fault."""


@dataclass(frozen=True)
class ReportKind:
    slug: str
    order: int
    name: str
    words: str
    builder: str
    template: str
    asks: str
    level: str
    level_of_records: bool  # whether the most demanding record raises the level
    own: str  # the meaning only whoever did it may sign with; empty: there is none
    meanings: tuple[str, ...]  # any other person of the level
    cautions: tuple[str, ...]
    regimes: tuple[str, ...]  # which records it is made of; empty: any
    part_kinds: tuple[str, ...]
    families: tuple[str, ...]  # of equipment, where a place is named and no tags
    sources: tuple[Source, ...]
    items: tuple[Item, ...]
    hash: str

    @property
    def all_meanings(self) -> tuple[str, ...]:
        return (*([self.own] if self.own else []), *self.meanings)


@cache
def report_kinds() -> dict[str, ReportKind]:
    """Every kind by its slug, in the order in which they are offered."""
    return kinds_in(FOLDER)


def kinds_of_regime(slug: str) -> list[ReportKind]:
    """The kinds that are made of one record of this regime."""
    return [kind for kind in report_kinds().values() if slug in kind.regimes]


def kinds_in(folder: Path) -> dict[str, ReportKind]:
    found = [_read(path) for path in sorted(folder.glob("*.toml"))]
    return {kind.slug: kind for kind in sorted(found, key=lambda kind: (kind.order, kind.slug))}


def _read(path: Path) -> ReportKind:
    content = path.read_bytes()
    try:
        kind = _kind(tomllib.loads(content.decode()), hashlib.sha256(content).hexdigest())
        _refuse(kind.slug != path.stem, f"the slug {kind.slug!r} is not the file's name")
    except KeyError as fault:
        raise FaultyReportKind(f"{path.name}: {fault} is missing") from fault
    except (ValueError, TypeError) as fault:
        raise FaultyReportKind(f"{path.name}: {fault}") from fault
    return kind


def _kind(raw: dict[str, Any], digest: str) -> ReportKind:
    known = {each.name for each in fields(ReportKind)} - {"hash", "sources", "items"}
    _known(raw, known | {"source", "item"}, "the file")
    kind = ReportKind(
        slug=raw["slug"], order=raw["order"], name=raw["name"], words=raw["words"],
        builder=raw["builder"], template=raw["template"], asks=raw["asks"], level=raw["level"],
        level_of_records=raw.get("level_of_records", False), own=raw.get("own", ""),
        meanings=tuple(raw.get("meanings", ())), cautions=tuple(raw.get("cautions", ())),
        regimes=tuple(raw.get("regimes", ())), part_kinds=tuple(raw.get("part_kinds", ())),
        families=tuple(raw.get("families", ())),
        sources=tuple(_source(each) for each in raw.get("source", ())),
        items=tuple(_item(each) for each in raw.get("item", ())), hash=digest,
    )  # fmt: skip
    _refuse(len(kind.slug) > LONGEST_SLUG, f"the slug is longer than {LONGEST_SLUG}")
    _refuse(kind.asks not in ASKS, f"asks {kind.asks!r} is none of {', '.join(ASKS)}")
    _refuse(kind.level not in LEVELS, f"level {kind.level!r} is not known")
    _refuse(not kind.all_meanings, "no meaning of the signature is named")
    _refuse(bool(kind.items) and not kind.sources, "items are listed without their document")
    keys = [item.key for item in kind.items]
    _refuse(len(set(keys)) < len(keys), "two items have the same key")
    return kind


def _source(raw: dict[str, Any]) -> Source:
    _known(raw, SOURCE_KEYS, "a source")
    source = Source(**{name: raw.get(name, "") for name in SOURCE_KEYS})
    _refuse(not (source.document and source.clause), "a source names no document or no clause")
    _refuse(source.verified not in VERIFIED, f"verified {source.verified!r} is not known")
    return source


def _item(raw: dict[str, Any]) -> Item:
    """An item as it is listed: nothing is said yet."""
    _known(raw, ITEM_KEYS, f"item {raw['number']!r}")
    _refuse(not raw["clause"], f"item {raw['number']!r} names no clause")
    _refuse(raw["verified"] not in VERIFIED, f"item {raw['number']!r}: verified is not known")
    return Item(
        key=raw["key"], number=str(raw["number"]), words=raw["words"], clause=raw["clause"],
        verified=raw["verified"], required=raw.get("required", True), said="", by="",
        hint=raw.get("hint", ""), by_signature=raw["key"] in BY_SIGNATURE,
    )  # fmt: skip


def _known(raw: dict[str, Any], keys: set[str], where: str) -> None:
    unknown = sorted(set(raw) - keys)
    _refuse(bool(unknown), f"{where}: unknown key {', '.join(unknown)}")


def _refuse(wrong: bool, fault: str) -> None:
    if wrong:
        raise ValueError(fault)
