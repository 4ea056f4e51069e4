"""Read the kinds of equipment and of parts from their files. Pure.

A file with an unknown key, type, dimension, unit, access or part kind, or without a source, is
refused with its name and the fault: a wrong kind file would ask for the wrong datum for years.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from venue.kind_fields import field_text, in_words, read_fields, show_field, show_quantity
from venue.kind_shapes import (
    ACCESS,
    FIELD_TYPES,
    UNVERIFIED,
    VERIFIED,
    FaultyKindFile,
    Field,
    FieldFault,
    Kind,
    LoadPurpose,
    PartKind,
    PartSlot,
    Source,
)  # fmt: skip
from venue.quantities import DIMENSIONS, UNITS

__all__ = [
    "ACCESS", "FaultyKindFile", "Field", "FieldFault", "Kind", "LoadPurpose", "PartKind",
    "PartSlot", "Source", "field_text", "in_words", "kinds", "kinds_in", "part_kinds",
    "part_kinds_in", "read_fields", "show_field", "show_quantity",
]  # fmt: skip

AnyKind = TypeVar("AnyKind", bound=PartKind)

FOLDER = Path(__file__).parent / "kinds"
DIALECTS = ("en-US", "en-GB")
COMMON_KEYS = {"slug", "labels", "description", "field", "source"}
KIND_KEYS = COMMON_KEYS | {"family", "group", "rated_load", "part", "hazards", "access"}


@cache
def kinds() -> dict[str, Kind]:
    """Every kind of equipment by its slug, from the files beside this module."""
    return kinds_in(FOLDER, part_kinds())


@cache
def part_kinds() -> dict[str, PartKind]:
    """Every kind of part by its slug."""
    return part_kinds_in(FOLDER / "parts")


def kinds_in(folder: Path, parts: dict[str, PartKind]) -> dict[str, Kind]:
    return _read_folder(folder, lambda raw, digest: _kind(raw, digest, parts))


def part_kinds_in(folder: Path) -> dict[str, PartKind]:
    return _read_folder(folder, _part_kind)


def _read_folder(folder: Path, make: Callable[[dict, str], AnyKind]) -> dict[str, AnyKind]:
    found = {}
    for path in sorted(folder.glob("*.toml")):
        content = path.read_bytes()
        try:
            made = make(tomllib.loads(content.decode()), hashlib.sha256(content).hexdigest())
            _refuse(made.slug != path.stem, f"the slug {made.slug!r} is not the file's name")
        except KeyError as fault:
            raise FaultyKindFile(f"{path.name}: {fault} is missing") from fault
        except (ValueError, TypeError) as fault:
            raise FaultyKindFile(f"{path.name}: {fault}") from fault
        found[made.slug] = made
    return found


def _part_kind(raw: dict[str, Any], digest: str) -> PartKind:
    _known_keys(raw, COMMON_KEYS, "the file")
    return PartKind(**_common(raw), hash=digest)


def _kind(raw: dict[str, Any], digest: str, parts: dict[str, PartKind]) -> Kind:
    _known_keys(raw, KIND_KEYS, "the file")
    _known(raw["access"], ACCESS, "access")
    slots = tuple(_slot(slot, parts) for slot in raw.get("part", []))
    loads = tuple(_load(load) for load in raw.get("rated_load", []))
    _no_twice([slot.kind for slot in slots], "part")
    _no_twice([load.purpose for load in loads], "rated load")
    _refuse(not raw["hazards"], "no hazard is named")
    return Kind(
        **_common(raw),
        family=raw["family"],
        group=raw["group"],
        rated_loads=loads,
        part_kinds=slots,
        hazards=tuple(raw["hazards"]),
        access=tuple(raw["access"]),
        hash=digest,
    )


def _common(raw: dict[str, Any]) -> dict[str, Any]:
    fields = tuple(_field(field) for field in raw.get("field", []))
    _no_twice([field.name for field in fields], "field")
    _refuse(set(raw["labels"]) != set(DIALECTS), f"labels are needed in {' and '.join(DIALECTS)}")
    _refuse(not raw.get("source"), "no source is named")
    return {
        "slug": raw["slug"],
        "labels": dict(raw["labels"]),
        "description": raw["description"],
        "fields": fields,
        "sources": tuple(read_source(source) for source in raw["source"]),
    }


def _field(raw: dict[str, Any]) -> Field:
    where = f"field {raw['name']!r}"
    _known_keys(raw, set(Field.__dataclass_fields__), where)
    field = Field(
        name=raw["name"],
        label=raw["label"],
        type=raw["type"],
        dimension=raw.get("dimension", ""),
        unit_metric=raw.get("unit_metric", ""),
        unit_us=raw.get("unit_us", ""),
        required=raw.get("required", False),
        choices=tuple(raw.get("choices", ())),
        help=raw.get("help", ""),
    )
    _known([field.type], FIELD_TYPES, f"{where}: type")
    _refuse((field.type == "choice") != bool(field.choices), f"{where}: choices go with a choice")
    if field.type == "quantity":
        known_units(field.dimension, (field.unit_metric, field.unit_us), where)
    else:
        _refuse(bool(field.dimension), f"{where}: only a quantity has a dimension")
    return field


def known_units(dimension: str, codes: Iterable[str], where: str) -> None:
    """Refuse a dimension that is not known, or a unit that does not measure it."""
    _known([dimension], DIMENSIONS, f"{where}: dimension")
    for code in codes:
        fits = code in UNITS and UNITS[code].serves(dimension)
        _refuse(not fits, f"{where}: {code!r} is not a unit of {dimension}")


def read_source(raw: dict[str, Any]) -> Source:
    """A source as every data file writes it. Without a document or its backing it is refused."""
    _known_keys(raw, set(Source.__dataclass_fields__), "source")
    _refuse(not raw["document"], "a source without a document")
    _known([raw["verified"]], VERIFIED + UNVERIFIED, "source: verified")
    return Source(
        document=raw["document"],
        edition=raw.get("edition", ""),
        clause=raw.get("clause", ""),
        verified=raw["verified"],
        address=raw.get("address", ""),
        backs=raw.get("backs", ""),
    )


def _load(raw: dict[str, Any]) -> LoadPurpose:
    where = f"rated load {raw['purpose']!r}"
    _known_keys(raw, set(LoadPurpose.__dataclass_fields__), where)
    known_units(raw["dimension"], (raw["unit_metric"], raw["unit_us"]), where)
    return LoadPurpose(
        raw["purpose"], raw["label"], raw["dimension"], raw["unit_metric"], raw["unit_us"],
        raw.get("help", ""),
    )  # fmt: skip


def _slot(raw: dict[str, Any], parts: dict[str, PartKind]) -> PartSlot:
    _known_keys(raw, set(PartSlot.__dataclass_fields__), "part")
    _known([raw["kind"]], parts, "part kind")
    return PartSlot(raw["kind"], raw["label"], raw["many"])


def _known_keys(raw: dict[str, Any], allowed: set[str], where: str) -> None:
    if strange := sorted(set(raw) - allowed):
        raise ValueError(f"{where}: unknown key {', '.join(strange)}")


def _known(given: Iterable[str], allowed: Iterable[str], what: str) -> None:
    if strange := [name for name in given if name not in allowed]:
        raise ValueError(f"{what} {strange[0]!r} is not known")


def _no_twice(names: list[str], what: str) -> None:
    if twice := sorted({name for name in names if names.count(name) > 1}):
        raise ValueError(f"{what} {twice[0]!r} stands twice")


def _refuse(fault: bool, sentence: str) -> None:
    if fault:
        raise ValueError(sentence)
