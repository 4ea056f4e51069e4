"""Three-valued questions: is a fact of the rope in a list, was a condition seen."""

from __future__ import annotations

import re
from typing import Any

KINDS = {
    "distortion": ("kink", "crushing", "birdcage", "unstranding"),
    "corrosion": ("corrosion_surface", "corrosion_rough", "corrosion_pitted"),
}
PLAIN_CONDITIONS = (
    "broken_strand", "distortion", "core_protrusion", "corrosion", "heat_damage",
    "power_line_contact", "end_connection_damaged", "end_connection_improper", "outer_wires_worn",
)  # fmt: skip


def is_allowed(fact: Any, allowed: list[Any]) -> bool | None:
    """A fact that is not known may be allowed or not."""
    if fact is None:
        return None
    if allowed[-1] == "or more":
        return fact in allowed[:-1] or fact >= max(allowed[:-1])
    return fact in allowed


def all_allowed(rope: dict[str, Any], when: dict[str, list[Any]]) -> bool | None:
    """One refusal refuses; else one unknown leaves it open."""
    found = [is_allowed(rope.get(name), allowed) for name, allowed in when.items()]
    if False in found:
        return False
    return None if None in found else True


def was_seen(conditions: dict[str, bool | None], name: str) -> bool | None:
    """A kind that is seen says that the whole is there; a whole that is not there has no kinds."""
    said = conditions.get(name)
    kinds = [conditions.get(kind) for kind in KINDS.get(name, ())]
    if True in kinds:
        return True
    if said is not None:
        return said
    if kinds:
        return False if kinds == [False] * len(kinds) else None
    wholes = [whole for whole, parts in KINDS.items() if name in parts]
    return False if any(conditions.get(whole) is False for whole in wholes) else None


def is_seale(rope: dict[str, Any]) -> bool | None:
    if rope.get("seale") is not None:
        return rope["seale"]
    construction = rope.get("construction")
    if construction is None:
        return None
    told = re.match(r"(6|8)\s*x\s*19(?!\d)(.*)", construction.strip().lower())
    if told is None:
        return False
    if re.match(r"\s*(s|seale)\b", told[2]):
        return True
    return False if "/" in told[2] else None
