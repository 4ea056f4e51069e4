"""Which figures of a part go on to what takes its place, and which belong to the one thing. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from venue.kind_shapes import Field, PartKind

# Written on its papers or measured on it when new. Taken over from a worn-out rope they would set
# the limits of another rope, and a wrong limit calls a bad rope fit.
OF_ONE_THING = frozenset({
    "baseline_diameter", "certificate", "minimum_breaking_force", "mbf_source", "identifier",
    "made_in_year", "oil_hours", "as_built_height",
})  # fmt: skip


def of_one_thing(field: Field) -> bool:
    return (
        field.type == "date"
        or field.name in OF_ONE_THING
        or field.name.endswith(("_as_new", "_on"))
    )


def carried_on(kind: PartKind | None, stored: Mapping[str, Any]) -> dict[str, Any]:
    """The stored fields that a successor of the same kind has too. Without its kind: none."""
    fields = {field.name: field for field in kind.fields} if kind else {}
    return {
        name: value
        for name, value in stored.items()
        if name in fields and not of_one_thing(fields[name])
    }
